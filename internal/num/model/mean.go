package model

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"fairplot/internal/num/dense"
)

// Settings are levels of factors in their order; as JSON one object, factor to level.
type Settings []Setting

// MarshalJSON writes the settings as one object in their order.
func (s Settings) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, x := range s {
		if i > 0 {
			out = append(out, ',')
		}
		for k, text := range [2]string{x.Factor, x.Level} {
			quoted, err := json.Marshal(text)
			if err != nil {
				return nil, err
			}
			out = append(out, quoted...)
			if k == 0 {
				out = append(out, ':')
			}
		}
	}
	return append(out, '}'), nil
}

// String writes the levels alone, joined by colons.
func (s Settings) String() string {
	levels := make([]string, len(s))
	for i, x := range s {
		levels[i] = x.Level
	}
	return strings.Join(levels, ":")
}

// Mean is one adjusted mean, on the scale of the analysis; Back and its limits are the exponentials when that is the log.
type Mean struct {
	Of       string   `json:"of"`
	Levels   Settings `json:"levels"`
	Mean     float64  `json:"mean"`
	SE       *float64 `json:"se,omitempty"`
	DF       *float64 `json:"df,omitempty"`
	Low      *float64 `json:"low,omitempty"`
	High     *float64 `json:"high,omitempty"`
	Back     *float64 `json:"back,omitempty"`
	BackLow  *float64 `json:"back_low,omitempty"`
	BackHigh *float64 `json:"back_high,omitempty"`
}

// Scale says how limits are made and whether the response was a logarithm.
type Scale struct {
	Confidence float64
	Log        bool
}

// Means returns the adjusted means that exist. An estimator without a covariance (Rows 0) gives means alone.
func (c Cells) Means(e Estimator, s Scale) ([]Mean, []Doubt) {
	var out []Mean
	var lost []string
	coef, cov, t := e.Coef(), e.Cov(), newStudent(s.Confidence)
	for _, cell := range c.Cells {
		if !cell.Estimable() {
			lost = append(lost, c.settings(cell).String())
			continue
		}
		m := Mean{Of: c.Of, Levels: c.settings(cell), Mean: dense.Dot(cell.Row, coef)}
		if cov.Rows > 0 {
			se, df := math.Sqrt(quadratic(cov.Data, cell.Row)), e.DF(cell.Row)
			half := se * t.half(df)
			m.SE, m.DF, m.Low, m.High = Finite(se), Finite(df), Finite(m.Mean-half), Finite(m.Mean+half)
		}
		if s.Log {
			m.Back, m.BackLow, m.BackHigh = exponential(&m.Mean), exponential(m.Low), exponential(m.High)
		}
		out = append(out, m)
	}
	if lost == nil {
		return out, nil
	}
	return out, []Doubt{{
		Code:   NotEstimable,
		Says:   fmt.Sprintf("these rows cannot estimate the mean of %s %s; an empty cell or aliased term stands in the way", c.Of, list(lost, 6)),
		Number: Finite(float64(len(lost))),
	}}
}

func (c Cells) settings(cell Cell) Settings {
	out := make(Settings, len(c.Factors))
	for i, f := range c.Factors {
		out[i] = Setting{f, cell.Levels[i]}
	}
	return out
}

func exponential(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return Finite(math.Exp(*v))
}

// quadratic is l'Cl for a symmetric matrix in row-major order; rows of zeros in l cost nothing.
func quadratic(c, l []float64) float64 {
	p := len(l)
	sum := 0.0
	for i, x := range l {
		if x != 0 {
			sum += x * dense.Dot(l, c[i*p:(i+1)*p])
		}
	}
	return max(sum, 0)
}
