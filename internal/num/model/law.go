package model

import (
	"math"

	"fairplot/internal/num/dense"
	"fairplot/internal/num/dist"
)

// law is that of the largest |t| of a family.
type law interface {
	upper(t, df float64) float64 // P(max|T| > t)
	quantile(tail, df float64) float64
	sampling() float64 // standard error of upper where it was sampled, else 0
}

// student is the t law at one confidence; quantiles are kept, for most families have few different df.
type student struct {
	tail float64
	kept map[float64]float64
}

func newStudent(confidence float64) *student {
	return &student{tail: (1 - confidence) / 2, kept: map[float64]float64{}}
}

func (s *student) half(df float64) float64 {
	return keep(s.kept, df, func(df float64) float64 { return dist.TUpperQuantile(s.tail, df) })
}

func (s *student) both(t, df float64) float64 { return min(1, 2*dist.TUpper(math.Abs(t), df)) }

// critical returns the width of an adjusted interval in standard errors, kept by df.
func critical(l law, confidence float64) func(df float64) float64 {
	kept := map[float64]float64{}
	return func(df float64) float64 {
		return keep(kept, df, func(df float64) float64 { return l.quantile(1-confidence, df) })
	}
}

// keep looks a value up by df to 12 digits, so that differences that balance makes equal share one quantile whatever
// their rounding. The value is that of the rounded df and depends on nothing met before.
func keep(kept map[float64]float64, df float64, find func(float64) float64) float64 {
	if !(df > 0) {
		return math.NaN()
	}
	const fine = 1 << 12
	key := math.Float64frombits((math.Float64bits(df) + fine/2) &^ (fine - 1))
	v, known := kept[key]
	if !known {
		v = find(key)
		kept[key] = v
	}
	return v
}

type tukey struct{ r *dist.Range }

func newTukey(k int) law { return tukey{dist.NewRange(k)} }

func (l tukey) upper(t, df float64) float64       { return l.r.Upper(math.Sqrt2*t, df) }
func (l tukey) quantile(tail, df float64) float64 { return l.r.UpperQuantile(tail, df) / math.Sqrt2 }
func (l tukey) sampling() float64                 { return 0 }

type dunnett struct{ d *dist.Dunnett }

func newDunnett(corr dense.Matrix, seed uint64) (law, error) {
	d, err := dist.NewDunnett(corr, seed)
	return dunnett{d}, err
}

func (l dunnett) upper(t, df float64) float64       { return l.d.Upper(t, df) }
func (l dunnett) quantile(tail, df float64) float64 { return l.d.UpperQuantile(tail, df) }
func (l dunnett) sampling() float64                 { return l.d.Error }
