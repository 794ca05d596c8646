package glmm

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// TestCurvature compares the exact Hessian with differences of fourth order of the gradient. With spreads of 0.4 their steps of 1e-3 leave errors
// of some 1e-10 of an entry.
func TestCurvature(t *testing.T) {
	for name, d := range map[string]Data{"none": crossed(0), "one": crossed(1), "two": crossed(2), "three": crossed(3), "slopes": sloped(1), "slopes and two": sloped(3)} {
		o := objectiveOf(t, d, 1)
		psi := []float64{-0.4, 1.1, 0.7, 0.9, -0.4, 1.3}[:3+len(d.Groups)]
		got, want := o.curvature(psi), hessian(o.value, psi, 1e-3)
		for j, w := range want.Data {
			if math.Abs(got.Data[j]-w) > 1e-9*max(1, math.Abs(w)) {
				t.Errorf("groupings %s: entry %d, %d is %.12g, by differences %.12g", name, j/len(psi), j%len(psi), got.Data[j], w)
			}
		}
	}
}

// TestCurvatureBesideNoSpread: with a spread at 0, or so near to it that rounding would eat it, the others' second derivatives are as without that grouping.
func TestCurvatureBesideNoSpread(t *testing.T) {
	d := crossed(3)
	whole := objectiveOf(t, d, 1)
	d.Groups = d.Groups[:2]
	less := objectiveOf(t, d, 1)
	psi := []float64{-0.4, 1.1, 0.7, 0.9, 0.4}
	want := less.curvature(psi)
	for _, sd := range []float64{0, 1e-8} {
		got := whole.curvature(append(append([]float64(nil), psi...), sd))
		for i := range psi {
			for j := range psi {
				if w := want.At(i, j); math.Abs(got.At(i, j)-w) > 1e-9*max(1, math.Abs(w)) {
					t.Errorf("a spread of %g: entry %d, %d is %.12g, without %.12g", sd, i, j, got.At(i, j), w)
				}
			}
			if got.At(i, 5) != 0 || !(math.Abs(got.At(5, 5)) > 1e-3) {
				t.Errorf("a spread of %g: its row holds %g and %g", sd, got.At(i, 5), got.At(5, 5))
			}
		}
	}
}

// TestOwed writes the weighted least squares of the fit out with whole matrices: with Ω = W⁻¹ + AAᵀ the variance of c·β is cᵀ(XᵀΩ⁻¹X)⁻¹c, and by the weights that it
// gives the rows each grouping and the counts have their parts, which add up to it.
func TestOwed(t *testing.T) {
	d := sloped(3)
	m, err := Fit(d, Options{})
	if err != nil {
		t.Fatal(err)
	}
	n, o := len(d.Success), m.objective
	omega := mat.NewDense(n, n, nil)
	by := make([]*mat.Dense, len(d.Groups))
	for k, g := range d.Groups {
		z := mat.NewDense(n, g.Levels, nil)
		for i, l := range g.Of {
			z.Set(i, int(l), m.Spread[k].SD*o.by[i*len(d.Groups)+k])
		}
		by[k] = z
		var zz mat.Dense
		zz.Mul(z, z.T())
		omega.Add(omega, &zz)
	}
	counts := make([]float64, n)
	for i, r := range o.rows {
		counts[i] = 1 / max(r.weight, 1e-12) // nothing was looked at in one row
		omega.Set(i, i, omega.At(i, i)+counts[i])
	}
	x := mat.NewDense(n, d.X.Cols, d.X.Data)
	c := mat.NewVecDense(3, []float64{0.3, 1, 0})
	var ox, information, y mat.Dense
	if err := ox.Solve(omega, x); err != nil {
		t.Fatal(err)
	}
	information.Mul(x.T(), &ox)
	if err := y.Solve(&information, c); err != nil {
		t.Fatal(err)
	}
	var weights mat.Dense
	weights.Mul(&ox, &y)
	parts, whole, err := m.Owed([]float64{0.3, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	want := mat.Dot(c, y.ColView(0))
	if math.Abs(whole-want) > 1e-9*want {
		t.Errorf("variance %.12g, want %.12g", whole, want)
	}
	left := whole
	for k, z := range by {
		var part mat.Dense
		part.Mul(z.T(), &weights)
		if w := mat.Dot(part.ColView(0), part.ColView(0)); math.Abs(parts[k]-w) > 1e-9*want {
			t.Errorf("grouping %s is owed %.12g, want %.12g", d.Groups[k].Name, parts[k], w)
		}
		left -= parts[k]
	}
	own := 0.0
	for i, v := range counts {
		own += v * weights.At(i, 0) * weights.At(i, 0)
	}
	if math.Abs(left-own) > 1e-9*want {
		t.Errorf("the counts are owed %.12g, want %.12g", left, own)
	}
}
