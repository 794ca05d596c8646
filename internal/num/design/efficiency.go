package design

import "math"

// Efficiency says what groupings cost: how precise differences of treatments are within them, over what they would
// be with the same plots and no groupings to adjust for, at the same spread between plots.
type Efficiency struct {
	Average   float64 // of the average variance of all differences; the harmonic mean of the canonical factors for equal replication
	Worst     float64 // of the pair that fares worst
	Connected bool    // every treatment can be compared with every other; else both are 0
}

// EfficiencyOf adjusts for any number of groupings at once, each with one class a plot, numbered from 0 (John & Williams
// 1995, Cyclic and Computer Generated Designs, sec. 1.7 and 2.2). A treatment on no plot makes it unconnected.
func EfficiencyOf(treatments int, treatment []int, groupings ...[]int) Efficiency {
	first := 0
	offsets := make([]int, len(groupings))
	for g, classes := range groupings {
		offsets[g] = first
		for _, c := range classes {
			first = max(first, offsets[g]+c+1)
		}
	}
	n := first + treatments
	m := make([][]float64, n) // sums of products of all indicators, groupings before treatments
	for i := range m {
		m[i] = make([]float64, n)
	}
	replicates := make([]float64, treatments)
	columns := make([]int, len(groupings)+1)
	for plot, t := range treatment {
		for g, classes := range groupings {
			columns[g] = offsets[g] + classes[plot]
		}
		columns[len(groupings)] = first + t
		replicates[t]++
		for _, a := range columns {
			for _, b := range columns {
				m[a][b]++
			}
		}
	}
	if first == 0 { // no groupings: the mean still has to be adjusted for
		return Efficiency{Average: 1, Worst: 1, Connected: true}
	}
	return pairs(adjusted(m, first), replicates)
}

// adjusted sweeps out the first columns and inverts what is left, with the last treatment as the reference; nil
// where that has no inverse.
func adjusted(m [][]float64, first int) [][]float64 {
	n := len(m)
	start := make([]float64, n)
	for i := range m {
		start[i] = m[i][i]
	}
	for p := range n - 1 {
		if m[p][p] <= 1e-9*start[p] || start[p] == 0 {
			if p >= first {
				return nil
			}
			continue
		}
		sweep(m, p)
	}
	v := make([][]float64, n-first)
	for i := range v {
		v[i] = make([]float64, n-first)
		for j := range v {
			if i < n-first-1 && j < n-first-1 {
				v[i][j] = -m[first+i][first+j]
			}
		}
	}
	return v
}

// sweep is the symmetric sweep of column p (Goodnight 1979, American Statistician 33:149-158): swept columns hold the
// negative inverse.
func sweep(m [][]float64, p int) {
	d := m[p][p]
	for i := range m {
		for j := range m {
			if i != p && j != p {
				m[i][j] -= m[i][p] * m[p][j] / d
			}
		}
	}
	for i := range m {
		if i != p {
			m[i][p] /= d
			m[p][i] /= d
		}
	}
	m[p][p] = -1 / d
}

func pairs(v [][]float64, replicates []float64) Efficiency {
	if v == nil || replicates[len(replicates)-1] == 0 {
		return Efficiency{}
	}
	e := Efficiency{Connected: true, Worst: math.Inf(1)}
	var ideal, actual float64
	for i := range v {
		for j := range i {
			plain := 1/replicates[i] + 1/replicates[j]
			here := v[i][i] + v[j][j] - 2*v[i][j]
			ideal, actual = ideal+plain, actual+here
			e.Worst = min(e.Worst, plain/here)
		}
	}
	e.Average = ideal / actual
	return e
}
