package power

import "math"

// Pair is a planned comparison of two means: the variance of their difference and the degrees of freedom it is estimated on.
type Pair struct{ Variance, DF float64 }

// Power is that of the two-sided t test of a true difference.
func (p Pair) Power(difference, level float64) float64 {
	if !(p.DF > 0) {
		return 0 // nothing to estimate the error from
	}
	return T(p.DF, math.Abs(difference)/math.Sqrt(p.Variance), level)
}

// Detectable is the least true difference that is found with the wanted power; +Inf without degrees of freedom.
func (p Pair) Detectable(wanted, level float64) float64 {
	if !(p.DF > 0) {
		return math.Inf(1)
	}
	return Delta(p.DF, wanted, level) * math.Sqrt(p.Variance)
}

// Effect is a planned F test: degrees of freedom above and below, and how often each mean is found again, in units of its error variance.
type Effect struct{ NumDF, DenDF, Replication float64 }

// Noncentrality is that of the given true means: replication times their sum of squares about their mean.
func (e Effect) Noncentrality(means []float64) float64 {
	mean := 0.0
	for _, v := range means {
		mean += v / float64(len(means))
	}
	sum := 0.0
	for _, v := range means {
		sum += (v - mean) * (v - mean)
	}
	return e.Replication * sum
}

// Power is that of the F test where the true means are these.
func (e Effect) Power(means []float64, level float64) float64 {
	if !(e.DenDF > 0) {
		return 0
	}
	return F(e.NumDF, e.DenDF, e.Noncentrality(means), level)
}

// Extremes are the means of t treatments of which two lie a difference apart and the others half-way: the least noncentral pattern with that range, which a design
// must be strong enough for.
func Extremes(treatments int, difference float64) []float64 {
	means := make([]float64, treatments)
	means[0], means[treatments-1] = -difference/2, difference/2
	return means
}

// Pairs is n pairs, variance that of the differences within them.
func Pairs(n int, variance float64) Pair {
	return Pair{variance / float64(n), float64(n - 1)}
}

// Randomised is a number of groups of n plots each, laid out with no blocks.
func Randomised(groups, n int, variance float64) (Pair, Effect) {
	df := float64(groups * (n - 1))
	return equal(float64(n), variance, df, groups)
}

// Blocks is a number of complete blocks with each treatment once.
func Blocks(treatments, blocks int, variance float64) (Pair, Effect) {
	df := float64((treatments - 1) * (blocks - 1))
	return equal(float64(blocks), variance, df, treatments)
}

// LatinSquares is a number of Latin squares, each with rows and columns of its own.
func LatinSquares(treatments, squares int, variance float64) (Pair, Effect) {
	df := float64((treatments - 1) * (squares*(treatments-1) - 1))
	return equal(float64(treatments*squares), variance, df, treatments)
}

func equal(replicates, variance, df float64, treatments int) (Pair, Effect) {
	return Pair{2 * variance / replicates, df}, Effect{float64(treatments - 1), df, replicates / variance}
}

// SplitPlot is a split plot in complete blocks: whole plots of one factor in each block, each split among the levels of the other.
type SplitPlot struct {
	Whole, Split, Blocks int     // levels of the two factors, blocks
	WholeVariance        float64 // between whole plots of a block
	SplitVariance        float64 // between the plots of a whole plot
}

// wholeError is the expected mean square between whole plots.
func (s SplitPlot) wholeError() float64 {
	return s.SplitVariance + float64(s.Split)*s.WholeVariance
}

func (s SplitPlot) wholeDF() float64 { return float64((s.Whole - 1) * (s.Blocks - 1)) }

func (s SplitPlot) splitDF() float64 { return float64(s.Whole * (s.Split - 1) * (s.Blocks - 1)) }

// WholeFactor compares the means of the factor on whole plots.
func (s SplitPlot) WholeFactor() (Pair, Effect) {
	return equal(float64(s.Blocks*s.Split), s.wholeError(), s.wholeDF(), s.Whole)
}

// SplitFactor compares the means of the factor within whole plots.
func (s SplitPlot) SplitFactor() (Pair, Effect) {
	return equal(float64(s.Blocks*s.Whole), s.SplitVariance, s.splitDF(), s.Split)
}

// SplitWithin compares two levels of the split factor within one level of the whole one.
func (s SplitPlot) SplitWithin() Pair {
	return Pair{2 * s.SplitVariance / float64(s.Blocks), s.splitDF()}
}

// WholeWithin compares two levels of the whole factor at one level of the split one. Both mean squares are in its variance, so its degrees of freedom are
// Satterthwaite's (1946, Biometrics Bulletin 2:110-114) at the variances given.
func (s SplitPlot) WholeWithin() Pair {
	within, whole := float64(s.Split-1)*s.SplitVariance, s.wholeError()
	sum := within + whole
	df := sum * sum / (within*within/s.splitDF() + whole*whole/s.wholeDF())
	return Pair{2 * sum / float64(s.Blocks*s.Split), df}
}
