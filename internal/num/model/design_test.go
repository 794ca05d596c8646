package model

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/num/dense"
)

func design(t *testing.T, table string, r Request) *Design {
	t.Helper()
	f, err := Read(plots(t, table), r)
	if err != nil {
		t.Fatal(err)
	}
	d, err := NewDesign(f)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// grid writes a table of all combinations of factors of the given numbers of levels (a1 a2 ..., b1 ...), a given number
// of times, with a response kg and a covariate x that are drawn by a seeded stream.
func grid(seed uint64, times int, levels ...int) string {
	r := rand.New(rand.NewPCG(seed, 1))
	var b strings.Builder
	b.WriteString("kg x row")
	total := times
	for i, n := range levels {
		fmt.Fprintf(&b, " %c", 'a'+i)
		total *= n
	}
	for k := range total {
		fmt.Fprintf(&b, "\n%.3f %.3f r%d", 5+r.NormFloat64(), r.Float64(), k)
		rest := k
		for i, n := range levels {
			fmt.Fprintf(&b, " %c%d", 'a'+i, rest%n+1)
			rest /= n
		}
	}
	return b.String()
}

// drop leaves out rows of a table, counted from 1.
func drop(table string, rows ...int) string {
	lines := strings.Split(table, "\n")
	var out []string
	for i, l := range lines {
		gone := false
		for _, r := range rows {
			gone = gone || i == r
		}
		if !gone {
			out = append(out, l)
		}
	}
	return strings.Join(out, "\n")
}

// residualSS is that of least squares on the columns, by triangulating them with y last.
func residualSS(x dense.Matrix, keep func(column int) bool, y []float64) float64 {
	var columns [][]float64
	var floor []float64
	for j := range x.Cols {
		if keep(j) {
			c := make([]float64, x.Rows)
			for i := range c {
				c[i] = x.At(i, j)
			}
			columns, floor = append(columns, c), append(floor, 1e-9*dense.Norm(c))
		}
	}
	columns, floor = append(columns, append([]float64(nil), y...)), append(floor, 0)
	kept, left, _ := triangulate(columns, floor, nil)
	if kept[len(kept)-1] != len(columns)-1 {
		return 0
	}
	return left[len(columns)-1] * left[len(columns)-1]
}

// The sum of squares of a type II hypothesis is the difference of two residual sums of squares: without the term and what
// contains it, and with the term (Searle 1971, Linear Models, ch. 8). That needs nothing of Hypothesis.
func TestTypeTwoIsADifferenceOfResiduals(t *testing.T) {
	for _, formula := range []string{"a*b*c", "a*b+c", "a*x+b", "a/b", "a:b + c", "a*b*x", "x+a+b+c-c"} {
		table := drop(grid(7, 2, 3, 2, 2), 1, 5, 9, 10, 17)
		d := design(t, table, Request{Response: "kg", Treatments: formula})
		f := d.frame
		p := d.X.Cols
		beta := make([]float64, p)
		for i := range d.X.Rows {
			q := slices.Clone(d.X.Row(i))
			dense.SolveUpperT(d.r, q)
			for k := range beta {
				beta[k] += q[k] * f.Response[i]
			}
		}
		dense.SolveUpper(d.r, beta)
		for _, term := range f.Treatments.Terms {
			l := d.Hypothesis(term)
			if l.Rows != d.Degrees(term) {
				t.Errorf("%s in %s: %d rows for %d degrees of freedom", f.Treatments.Name(term), formula, l.Rows, d.Degrees(term))
			}
			// Rows of the triangle are orthonormal contrasts: the sum of squares is |L beta|^2.
			got := 0.0
			for i := range l.Rows {
				v := dense.Dot(l.Row(i), beta)
				got += v * v
			}
			without := residualSS(d.X, func(j int) bool {
				u := d.columns[d.kept[j]].term
				return u != term && !u.Contains(term)
			}, f.Response)
			with := residualSS(d.X, func(j int) bool { return !d.columns[d.kept[j]].term.Contains(term) }, f.Response)
			if math.Abs(got-(without-with)) > 1e-10*without {
				t.Errorf("%s in %s: sum of squares %.12g, want %.12g", f.Treatments.Name(term), formula, got, without-with)
			}
		}
	}
}

func TestFactorsAreCodedAgainstTheirFirstLevel(t *testing.T) {
	d := design(t, "kg a b x\n1 u p 1\n2 v p 3\n3 w q 5\n4 u q 7", Request{Response: "kg", Treatments: "a"})
	want := "[1 0 0] [1 1 0] [1 0 1] [1 0 0]"
	var got []string
	for i := range d.X.Rows {
		got = append(got, fmt.Sprint(d.X.Row(i)))
	}
	if s := strings.Join(got, " "); s != want {
		t.Errorf("coded as %s, want %s", s, want)
	}
	// Without the main effect of b, a:b is coded by every level of a and the levels of b but the first within.
	d = design(t, grid(1, 1, 2, 3), Request{Response: "kg", Treatments: "a/b"})
	if d.X.Cols != 6 || d.Degrees(d.frame.Treatments.Terms[1]) != 4 {
		t.Errorf("a/b of 2 and 3 levels: %d columns, want 6", d.X.Cols)
	}
	// A covariate whose term stands without its margin keeps its own zero.
	d = design(t, grid(1, 1, 2, 3), Request{Response: "kg", Treatments: "a:x"})
	if d.centre(1) != 0 {
		t.Error("x is centred in a:x, where that changes the model")
	}
	d = design(t, grid(1, 1, 2, 3), Request{Response: "kg", Treatments: "a*x"})
	if d.centre(1) == 0 {
		t.Error("x is not centred in a*x")
	}
}

func TestAliasesAreNamed(t *testing.T) {
	latin := `
kg row col sort half same twice x one
1 1 1 A p 1 2 7 k
2 1 2 B p 1 2 7 k
3 1 3 C p 1 2 7 k
4 2 1 B q 2 4 7 k
5 2 2 C q 2 4 7 k
6 2 3 A q 2 4 7 k
7 3 1 C q 3 6 7 k
8 3 2 A q 3 6 7 k
9 3 3 B q 3 6 7 k`
	categories := []string{"row", "col", "same"}
	for _, c := range []struct{ formula, want string }{
		{"row+col+sort", ""},
		{"row+same", "[{same row}]"},
		{"row+half", "[{half row}]"},
		{"half+row", "[{row half}]"},         // one of its two degrees of freedom is left
		{"same+twice", "[{twice same}]"},     // a straight line through levels of a factor
		{"x+row", "[{x 1}]"},                 // a constant covariate
		{"one+row", "[{one 1}]"},             // one level
		{"row*col+sort", "[{row:col sort}]"}, // sort has two of the four degrees of freedom of row:col
		{"row+col+row:col", ""},              // saturated, but nothing aliased
		{"row*col*sort", "[{row:col sort} {row:sort row:col} {col:sort row:col} {row:col:sort}]"}, // row*col is every plot
		{"sort+row:sort", ""},
		{"row:col", ""},                      // the cells repeat the mean by their coding, not by these plots
		{"col+row:sort", "[{row:sort col}]"}, // and here beside that each row and sort fixes the col
	} {
		d := design(t, latin, Request{Response: "kg", Treatments: c.formula, Categories: categories})
		got := ""
		if d.Aliased != nil {
			got = fmt.Sprint(d.Aliased)
		}
		got = strings.ReplaceAll(got, " }", "}")
		if got != c.want {
			t.Errorf("%s: aliased %s, want %s", c.formula, got, c.want)
		}
	}
}

func TestOneLevelIsSaid(t *testing.T) {
	d := design(t, "kg a\n1 u\n2 u", Request{Response: "kg", Treatments: "a"})
	if len(d.Doubts) != 1 || d.Doubts[0].Code != OneLevel || !strings.Contains(d.Doubts[0].Says, `a has one level in the analysed rows, "u"`) {
		t.Errorf("doubts %v", d.Doubts)
	}
}

// A copy of a covariate on another scale is found as one, and a covariate far from zero is not taken for the mean.
func TestAliasesDoNotDependOnScale(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	n := 40
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = r.Float64(), r.NormFloat64()
	}
	for _, scale := range []float64{1e-9, 1, 1e9} {
		for _, shift := range []float64{0, 1e6, 1e9} {
			z, copied := make([]float64, n), make([]float64, n)
			for i := range z {
				z[i], copied[i] = shift+x[i], scale*x[i]
			}
			table, err := Of(Numbers("kg", y), Numbers("z", z), Numbers("copied", copied))
			if err != nil {
				t.Fatal(err)
			}
			f, err := Read(table, Request{Response: "kg", Treatments: "z+copied"})
			if err != nil {
				t.Fatal(err)
			}
			d, err := NewDesign(f)
			if err != nil {
				t.Fatal(err)
			}
			if fmt.Sprint(d.Aliased) != "[{copied z}]" {
				t.Errorf("scale %g, shift %g: aliased %v", scale, shift, d.Aliased)
			}
		}
	}
}

func TestNearlyAliasedIsSaid(t *testing.T) {
	d := design(t, "kg x z\n1 1 1.0000001\n2 2 2\n4 3 3\n3 5 5.0000002\n7 4 4", Request{Response: "kg", Treatments: "x+z"})
	if d.X.Cols != 3 || len(d.Doubts) != 1 || d.Doubts[0].Code != NearlyAliased {
		t.Errorf("%d columns, doubts %v", d.X.Cols, d.Doubts)
	}
}

func TestGroupings(t *testing.T) {
	// Two gardens of three beds, named apart; two plots a bed; two seasons.
	table := `
kg garden bed season plot dig
1 g1 b1 1 p1 a
2 g1 b1 2 p2 b
3 g1 b2 1 p3 a
4 g1 b2 2 p4 b
5 g1 b3 1 p5 a
6 g1 b3 2 p6 b
7 g2 b4 1 p7 a
8 g2 b4 2 p8 b
9 g2 b5 1 p9 a
1 g2 b5 2 p10 b
2 g2 b6 1 p11 a
4 g2 b6 2 p12 b`
	for _, c := range []struct{ blocks, groupings, aliased, doubts, refused string }{
		{blocks: "garden/bed", groupings: "garden garden:bed"},
		{blocks: "garden/bed/plot", groupings: "garden garden:bed"},
		{blocks: "garden/bed + bed", groupings: "garden bed", aliased: "[{garden:bed bed}]"},
		{blocks: "bed/garden", groupings: "bed", aliased: "[{bed:garden bed}]", doubts: "every bed lies in one garden"},
		{blocks: "plot/bed", groupings: "", doubts: "every plot lies in one bed"},
		{blocks: "garden*season", refused: "the treatments account for every difference between the groups of season"},
		{blocks: "1", groupings: ""},
		{blocks: "", groupings: ""},
	} {
		d := design(t, table, Request{Response: "kg", Treatments: "dig", Blocks: c.blocks})
		groupings, aliased, doubts, err := d.Groupings()
		if c.refused != "" {
			var e *Error
			if !errors.As(err, &e) || !strings.Contains(err.Error(), c.refused) {
				t.Errorf("%s: %v, want %q", c.blocks, err, c.refused)
			}
			continue
		}
		var names []string
		for _, g := range groupings {
			names = append(names, g.Name)
		}
		if err != nil || strings.Join(names, " ") != c.groupings {
			t.Errorf("%s: groupings %v, %v; want %s", c.blocks, names, err, c.groupings)
		}
		if (c.aliased != "" || aliased != nil) && fmt.Sprint(aliased) != c.aliased {
			t.Errorf("%s: aliased %v, want %s", c.blocks, aliased, c.aliased)
		}
		if (c.doubts != "") != (len(doubts) == 1) || len(doubts) == 1 && !strings.Contains(doubts[0].Says, c.doubts) {
			t.Errorf("%s: doubts %v, want %q", c.blocks, doubts, c.doubts)
		}
	}
	d := design(t, "kg a g\n1 u k\n2 v k\n3 u k", Request{Response: "kg", Treatments: "a", Blocks: "g"})
	if _, _, _, err := d.Groupings(); err == nil || !strings.Contains(err.Error(), "g has one group in the analysed rows") {
		t.Errorf("one group: %v", err)
	}
}

func TestCellsAverageOverTheOtherFactors(t *testing.T) {
	d := design(t, grid(1, 2, 2, 3), Request{Response: "kg", Treatments: "a*b+x"})
	cells, err := d.Cells([]string{"a"})
	if err != nil {
		t.Fatal(err)
	}
	// Columns: 1 x a2 b2 b3 ... in the order of the formula: a, b, x, a:b.
	third := 1.0 / 3
	want := [][]float64{{1, 0, third, third, 0, 0, 0}, {1, 1, third, third, 0, third, third}}
	for i, c := range cells.Cells {
		for j, x := range c.Row {
			if math.Abs(x-want[i][j]) > 1e-15 {
				t.Errorf("row of %v: %v, want %v", c.Levels, c.Row, want[i])
				break
			}
		}
	}
	for _, bad := range []struct {
		names []string
		says  string
	}{
		{[]string{"x"}, "x is a column of numbers and has no levels to compare"},
		{[]string{"row"}, "row is not in the treatment formula"},
		{[]string{"a", "c"}, "c is not in the treatment formula"},
	} {
		if _, err := d.Cells(bad.names); err == nil || !strings.Contains(err.Error(), bad.says) {
			t.Errorf("%v: %v, want %q", bad.names, err, bad.says)
		}
	}
}

func TestTooManyEffectsAreRefused(t *testing.T) {
	names := make([]string, 4000)
	for i := range names {
		names[i] = fmt.Sprint("p", i)
	}
	table, err := Of(Numbers("kg", make([]float64, 4000)), Text("plot", names), Text("bed", names))
	if err != nil {
		t.Fatal(err)
	}
	for _, formula := range []string{"plot", "plot:bed", "1+bed*plot"} {
		f, err := Read(table, Request{Response: "kg", Treatments: formula})
		if err != nil {
			t.Fatal(err)
		}
		var e *Error
		if _, err := NewDesign(f); !errors.As(err, &e) || !strings.Contains(err.Error(), "effects or more to fit to 4000 rows") || e.Hint == "" {
			t.Errorf("%s: %v", formula, err)
		}
	}
}
