package lmm

import "math"

// check looks for what would otherwise become a silent number.
func check(data Data) error {
	n := len(data.Y)
	if n == 0 || data.X.Rows != n || data.X.Cols == 0 || len(data.Groupings) == 0 {
		return failed(BadData, "", "a mixed model needs rows, fixed effects and at least one grouping; there are %d rows, %d × %d fixed effects and %d groupings",
			n, data.X.Rows, data.X.Cols, len(data.Groupings))
	}
	for i, y := range data.Y {
		if !finite(y) {
			return failed(BadData, "", "row %d: the response is not a finite number", i+1)
		}
	}
	for i, x := range data.X.Data {
		if !finite(x) {
			return failed(BadData, "", "row %d: fixed effect %d is not a finite number", i/data.X.Cols+1, i%data.X.Cols+1)
		}
	}
	if data.Weights != nil && len(data.Weights) != n {
		return failed(BadData, "", "%d weights for %d rows", len(data.Weights), n)
	}
	for i, w := range data.Weights {
		if !(w > 0) || !finite(w) {
			return failed(BadData, "", "row %d: the weight is not a positive number", i+1)
		}
	}
	if err := checkTriangle(data); err != nil {
		return err
	}
	return checkGroupings(data)
}

// checkTriangle refuses a triangle that is not of these columns: each column of R is as long as its column of X.
func checkTriangle(data Data) error {
	p := data.X.Cols
	if data.R.Rows == 0 {
		return nil
	}
	if data.R.Rows != p || data.R.Cols != p {
		return failed(BadData, "", "a triangle of %d × %d for %d fixed effects", data.R.Rows, data.R.Cols, p)
	}
	inX, inR := make([]float64, p), make([]float64, p)
	for i := range data.Y {
		w := 1.0
		if data.Weights != nil {
			w = data.Weights[i]
		}
		for j, x := range data.X.Row(i) {
			inX[j] += w * x * x
		}
	}
	for i := range p {
		for j, x := range data.R.Row(i)[i:] {
			inR[i+j] += x * x
		}
	}
	for j, x := range inX {
		if !(math.Abs(inR[j]-x) <= 1e-9*x) || data.R.At(j, j) == 0 {
			return failed(BadData, "", "the triangle given is not that of fixed effect %d", j+1)
		}
	}
	return nil
}

func checkGroupings(data Data) error {
	for _, g := range data.Groupings {
		if len(g.Class) != len(data.Y) {
			return failed(BadData, g.Name, "grouping %s: %d classes for %d rows", g.Name, len(g.Class), len(data.Y))
		}
		for i, c := range g.Class {
			if c < 0 || int(c) >= g.Levels {
				return failed(BadData, g.Name, "grouping %s, row %d: class %d is not among its %d", g.Name, i+1, c, g.Levels)
			}
		}
	}
	return nil
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// identify refuses groupings that the fixed effects span, and sets of groupings whose covariances differ by nothing that
// these rows can show: the equations of the start are then singular.
func (d *design) identify() error {
	r := len(d.groups)
	for k, g := range d.groups {
		total := 0.0
		for _, s := range g.size {
			total += s
		}
		if d.minque.At(k, r) <= 1e-9*total {
			return failed(Spanned, g.name, "the fixed effects account for every difference between the groups of %s, so these rows cannot tell the two apart", g.name)
		}
	}
	order := append([]int{r}, seq(r)...)
	for take := 2; take <= r+1; take++ {
		if !independent(d.minque, order[:take]) {
			name := d.groups[order[take-1]].name
			return failed(Confounded, name, "grouping %s cannot be told from the other groupings and the residual in these rows", name)
		}
	}
	return nil
}

func seq(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
