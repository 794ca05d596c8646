package resample

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Sample says what is resampled. Units are drawn with replacement inside each stratum, all rows of a unit together.
type Sample struct {
	Rows    int
	Unit    []int32 // one a row; nil: each row is a unit
	Stratum []int32 // one a row; nil: one stratum. Give the treatment where it was laid on whole units
}

// Weighted is a statistic of rows that count weight times each; a weight of 0 leaves the row out. It must not keep
// or change its argument.
type Weighted func(weight []float64) float64

// Method is the way limits are read off the resampled values.
type Method int

// BCa is bias-corrected and accelerated (Efron 1987, JASA 82:171-185); Percentile takes the plain shares.
const (
	BCa Method = iota
	Percentile
)

// BootstrapOptions steer an interval. Rand must be given.
type BootstrapOptions struct {
	Method     Method
	Draws      int     // 0 takes 1,999
	Confidence float64 // 0 takes 0.95
	Rand       *rand.Rand
}

// Interval is a bootstrap interval with what it rests on.
type Interval struct {
	Estimate, Low, High float64 // a limit can be infinite where the statistic can
	Error               float64 // standard deviation of the finite resampled values
	Bias                float64 // their mean less the estimate
	Z0, Acceleration    float64 // BCa only
	Draws               int
	Undefined           int // resamples where the statistic is no number (0/0), left out
	Units               int
	Alone               int // units alone in their stratum, which resampling cannot vary
}

// RatioOfMeans returns the weighted mean of y in rows of treatment a over that in rows of b. Zeros count as they
// are; a mean of 0 below gives +Inf, 0 over 0 no number.
func RatioOfMeans(y []float64, treatment []int32, a, b int32) Weighted {
	return func(weight []float64) float64 {
		var sum, n [2]float64
		for i, t := range treatment {
			switch t {
			case a:
				sum[0] += weight[i] * y[i]
				n[0] += weight[i]
			case b:
				sum[1] += weight[i] * y[i]
				n[1] += weight[i]
			}
		}
		return sum[0] / n[0] / (sum[1] / n[1])
	}
}

// Bootstrap returns an interval of the statistic by resampling units within strata. It errs when no stratum
// has two units, when the statistic of the sample is no number, and when too many resamples give none.
func Bootstrap(s Sample, stat Weighted, o BootstrapOptions) (Interval, error) {
	strata, err := s.strata()
	if err != nil {
		return Interval{}, err
	}
	if o.Rand == nil {
		return Interval{}, errors.New("resampling needs a random stream handed in")
	}
	conf := o.Confidence
	if conf == 0 {
		conf = 0.95
	}
	if !(conf > 0 && conf < 1) {
		return Interval{}, fmt.Errorf("a confidence of %g is none; give a share such as 0.95", conf)
	}
	whole := slices.Repeat([]float64{1}, s.Rows)
	iv := Interval{Estimate: stat(whole), Draws: orDefault(o.Draws, 1_999)}
	if math.IsNaN(iv.Estimate) || math.IsInf(iv.Estimate, 0) {
		return iv, fmt.Errorf("the statistic of these rows is %g, so it has no interval by resampling", iv.Estimate)
	}
	for _, st := range strata {
		iv.Units += len(st)
		if len(st) == 1 {
			iv.Alone++
		}
	}
	values := iv.draw(strata, stat, whole, o.Rand)
	alpha := (1 - conf) / 2
	if float64(iv.Undefined) > alpha*float64(iv.Draws) {
		return iv, fmt.Errorf("%d of %d resamples give no number, too many for an interval; there are too few units that cropped", iv.Undefined, iv.Draws)
	}
	lo, hi := alpha, 1-alpha
	if o.Method == BCa {
		iv.Z0 = normalQuantile(below(values, iv.Estimate))
		iv.Acceleration = acceleration(strata, stat, whole)
		lo, hi = iv.shift(lo), iv.shift(hi)
	}
	iv.Low, iv.High = quantile(values, lo), quantile(values, hi)
	return iv, nil
}

// strata returns the rows of each unit of each stratum.
func (s Sample) strata() ([][][]int, error) {
	for name, l := range map[string][]int32{"unit": s.Unit, "stratum": s.Stratum} {
		if l != nil && len(l) != s.Rows {
			return nil, fmt.Errorf("%d rows but %d have a %s; give one each", s.Rows, len(l), name)
		}
	}
	var out [][][]int
	stratum, unit, home := map[int32]int{}, map[int32]int{}, map[int32]int32{}
	for i := range s.Rows {
		h, u := int32(0), int32(i)
		if s.Stratum != nil {
			h = s.Stratum[i]
		}
		if s.Unit != nil {
			u = s.Unit[i]
		}
		if was, ok := home[u]; ok && was != h {
			return nil, fmt.Errorf("unit %d lies in strata %d and %d; number units afresh in each stratum", u, was, h)
		}
		home[u] = h
		at, ok := stratum[h]
		if !ok {
			at = len(out)
			stratum[h] = at
			out = append(out, nil)
		}
		k, ok := unit[u]
		if !ok {
			k = len(out[at])
			unit[u] = k
			out[at] = append(out[at], nil)
		}
		out[at][k] = append(out[at][k], i)
	}
	for _, st := range out {
		if len(st) > 1 {
			return out, nil
		}
	}
	return nil, errors.New("every stratum has a single unit, so nothing can be resampled; at least two units of one kind are needed")
}

// draw returns the resampled values, sorted, and fills in their mean, spread and failures.
func (iv *Interval) draw(strata [][][]int, stat Weighted, whole []float64, r *rand.Rand) []float64 {
	values := make([]float64, 0, iv.Draws)
	weight := make([]float64, len(whole))
	var n, mean, m2 float64
	for range iv.Draws {
		clear(weight)
		for _, st := range strata {
			for range st {
				for _, row := range st[r.IntN(len(st))] {
					weight[row]++
				}
			}
		}
		v := stat(weight)
		if math.IsNaN(v) {
			iv.Undefined++
			continue
		}
		values = append(values, v)
		if !math.IsInf(v, 0) {
			n++
			d := v - mean
			mean += d / n
			m2 += d * (v - mean)
		}
	}
	iv.Bias, iv.Error = mean-iv.Estimate, math.Sqrt(m2/(n-1))
	slices.Sort(values)
	return values
}

// below returns the share of values under the estimate, ties by halves, kept off 0 and 1 by half a draw.
func below(sorted []float64, estimate float64) float64 {
	tol := 1e-12 * math.Abs(estimate)
	n := 0.0
	for _, v := range sorted {
		switch {
		case math.Abs(v-estimate) <= tol:
			n += 0.5
		case v < estimate:
			n++
		}
	}
	half := 0.5 / float64(len(sorted))
	return min(max(n/float64(len(sorted)), half), 1-half)
}

// acceleration comes from leaving out one unit at a time, within strata (Davison & Hinkley 1997, sec. 5.3.2).
// Where leaving one out gives no finite number the skewness is unknown and taken as 0.
func acceleration(strata [][][]int, stat Weighted, whole []float64) float64 {
	weight := slices.Clone(whole)
	var cubes, squares float64
	for _, st := range strata {
		if len(st) == 1 {
			continue
		}
		without := make([]float64, len(st))
		mean := 0.0
		for k, rows := range st {
			for _, i := range rows {
				weight[i] = 0
			}
			without[k] = stat(weight)
			for _, i := range rows {
				weight[i] = 1
			}
			mean += without[k] / float64(len(st))
		}
		n := float64(len(st))
		for _, v := range without {
			l := (n - 1) * (mean - v) / n // empirical influence over n
			squares += l * l
			cubes += l * l * l
		}
	}
	a := cubes / (6 * math.Pow(squares, 1.5))
	if math.IsNaN(a) || math.IsInf(a, 0) {
		return 0
	}
	return a
}

// shift moves a nominal share to the one whose quantile is the BCa limit (Efron & Tibshirani 1993, eq. 14.10).
func (iv Interval) shift(share float64) float64 {
	z := iv.Z0 + normalQuantile(share)
	return normalShare(iv.Z0 + z/(1-iv.Acceleration*z))
}

// quantile interpolates between order statistics on the normal scale (Davison & Hinkley 1997, eq. 5.8).
func quantile(sorted []float64, share float64) float64 {
	n := len(sorted)
	at := share * float64(n+1)
	k := int(at)
	switch {
	case k < 1:
		return sorted[0]
	case k >= n:
		return sorted[n-1]
	case at == float64(k) || sorted[k-1] == sorted[k]:
		return sorted[k-1]
	}
	if math.IsInf(sorted[k], 1) || math.IsInf(sorted[k-1], -1) {
		return sorted[k]
	}
	z, z0, z1 := normalQuantile(share), normalQuantile(float64(k)/float64(n+1)), normalQuantile(float64(k+1)/float64(n+1))
	return sorted[k-1] + (z-z0)/(z1-z0)*(sorted[k]-sorted[k-1])
}

func normalQuantile(p float64) float64 { return -math.Sqrt2 * math.Erfcinv(2*p) }

func normalShare(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }
