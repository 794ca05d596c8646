package design_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	. "fairplot/internal/num/design"
)

func stream(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 2)) }

func must(t testing.TB) func(Layout, error) Layout {
	return func(l Layout, err error) Layout {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return l
	}
}

// counts tells how often each level stands in each class.
func counts(class, level []int) map[[2]int]int {
	c := map[[2]int]int{}
	for i := range class {
		c[[2]int{class[i], level[i]}]++
	}
	return c
}

// all errs unless every level of 0..levels stands in every class of 0..classes exactly n times.
func all(t testing.TB, what string, class []int, classes int, level []int, levels, n int) {
	t.Helper()
	c := counts(class, level)
	for a := range classes {
		for b := range levels {
			if c[[2]int{a, b}] != n {
				t.Fatalf("%s: level %d stands %d times in %d, want %d", what, b, c[[2]int{a, b}], a, n)
			}
		}
	}
	if len(c) != classes*levels {
		t.Fatalf("%s: %d cells, want %d", what, len(c), classes*levels)
	}
}

func TestEveryBlockHoldsEveryTreatment(t *testing.T) {
	for seed := range uint64(20) {
		r := stream(seed)
		l := must(t)(CompleteBlocks(5, 4, r))
		all(t, "complete blocks", l.Block, 4, l.Drawn[0], 5, 1)
		l = must(t)(Pairs(6, r))
		all(t, "pairs", l.Block, 6, l.Drawn[0], 2, 1)
		l = must(t)(SplitPlot(4, 3, 2, r))
		all(t, "split plot, whole", l.Block, 4, l.Drawn[0], 3, 2)
		all(t, "split plot, parts", l.Whole, 12, l.Drawn[1], 2, 1)
		for i, w := range l.Whole {
			if first := slices.Index(l.Whole, w); l.Drawn[0][i] != l.Drawn[0][first] || l.Block[i] != l.Block[first] {
				t.Fatal("a whole plot has two levels or two blocks")
			}
		}
		l = must(t)(StripPlot(3, 4, 2, r))
		all(t, "strip plot, rows hold every level of the columns", l.Row, 12, l.Drawn[1], 2, 1)
		all(t, "strip plot, columns hold every level of the rows", l.Column, 6, l.Drawn[0], 4, 1)
		all(t, "strip plot, blocks", l.Block, 3, l.Drawn[0], 4, 2)
	}
}

func TestLatinSquares(t *testing.T) {
	for k := 2; k <= 12; k++ {
		r := stream(uint64(k))
		for range 5 {
			l := must(t)(LatinSquare(k, r))
			all(t, "rows", l.Row, k, l.Drawn[0], k, 1)
			all(t, "columns", l.Column, k, l.Drawn[0], k, 1)
		}
	}
}

// TestReducedSquares: 1, 1, 4, 56, 9408 (Fisher & Yates 1934; McKay & Wanless 2005), and the number of all squares is
// k!(k−1)! times as many.
func TestReducedSquares(t *testing.T) {
	for k, want := range map[int]int{2: 1, 3: 1, 4: 4, 5: 56, 6: 9408} {
		seen := map[string]bool{}
		for s := range ReducedSquares(k) {
			seen[fmt.Sprint(s)] = true
		}
		if len(seen) != want {
			t.Errorf("order %d: %d reduced squares, want %d", k, len(seen), want)
		}
		l := must(t)(LatinSquare(k, stream(1)))
		if all := float64(want) * math.Gamma(float64(k+1)) * math.Gamma(float64(k)); math.Abs(l.Arrangements-all) > 1e-6*all {
			t.Errorf("order %d: %g squares, want %g", k, l.Arrangements, all)
		}
	}
}

func TestBalancedSquares(t *testing.T) {
	for _, k := range []int{2, 4, 6, 8, 10} {
		l := must(t)(BalancedSquare(k, stream(3)))
		all(t, "rows", l.Row, k, l.Drawn[0], k, 1)
		all(t, "columns", l.Column, k, l.Drawn[0], k, 1)
		along, down := map[[2]int]int{}, map[[2]int]int{}
		for i := range k {
			for j := range k - 1 {
				along[[2]int{l.Drawn[0][i*k+j], l.Drawn[0][i*k+j+1]}]++
				down[[2]int{l.Drawn[0][j*k+i], l.Drawn[0][(j+1)*k+i]}]++
			}
		}
		for a := range k {
			for b := range k {
				want := 1
				if a == b {
					want = 0
				}
				if along[[2]int{a, b}] != want || down[[2]int{a, b}] != want {
					t.Fatalf("order %d: %d is followed by %d %d times along and %d down", k, a, b, along[[2]int{a, b}], down[[2]int{a, b}])
				}
			}
		}
	}
	if _, err := BalancedSquare(5, stream(1)); err == nil {
		t.Error("an odd order was accepted")
	}
}

func TestArrangements(t *testing.T) {
	r := stream(1)
	for what, c := range map[string]struct {
		l    Layout
		want float64
	}{
		"three pairs":          {must(t)(Pairs(3, r)), 8},
		"4 treatments 3 times": {must(t)(CompleteBlocks(4, 3, r)), 24 * 24 * 24},
		"split plot":           {must(t)(SplitPlot(2, 3, 2, r)), 48 * 48},
		"strip plot":           {must(t)(StripPlot(2, 3, 2, r)), 12 * 12},
		"one block of six":     {must(t)(InBlocks([]int{0, 0, 0, 0, 0, 0}, 2, r)), 20},
		"blocks of 3 and 6":    {must(t)(InBlocks([]int{0, 0, 0, 1, 1, 1, 1, 1, 1}, 3, r)), 6 * 90},
	} {
		if math.Abs(c.l.Arrangements-c.want) > 1e-9 {
			t.Errorf("%s: %g arrangements, want %g", what, c.l.Arrangements, c.want)
		}
	}
}

// chiSquared999 is the 0.999 quantile by Wilson & Hilferty (1931, PNAS 17:684-688), good to 1 % from 5 df up.
func chiSquared999(df float64) float64 {
	return df * math.Pow(1-2/(9*df)+3.0902*math.Sqrt(2/(9*df)), 3)
}

// TestEveryArrangementIsAsLikely counts what the lot gives; with these seeds a fair lot fails one time in a thousand.
func TestEveryArrangementIsAsLikely(t *testing.T) {
	six := []int{0, 0, 0, 0, 1, 1}
	for what, c := range map[string]struct {
		draw  func(*rand.Rand) (Layout, error)
		cells int
	}{
		"complete blocks":   {func(r *rand.Rand) (Layout, error) { return CompleteBlocks(3, 2, r) }, 36},
		"pairs":             {func(r *rand.Rand) (Layout, error) { return Pairs(4, r) }, 16},
		"split plot":        {func(r *rand.Rand) (Layout, error) { return SplitPlot(1, 3, 2, r) }, 48},
		"strip plot":        {func(r *rand.Rand) (Layout, error) { return StripPlot(1, 3, 3, r) }, 36},
		"squares of 3":      {func(r *rand.Rand) (Layout, error) { return LatinSquare(3, r) }, 12},
		"squares of 4":      {func(r *rand.Rand) (Layout, error) { return LatinSquare(4, r) }, 576},
		"blocks of 4 and 2": {func(r *rand.Rand) (Layout, error) { return InBlocks(six, 2, r) }, 12},
	} {
		r := stream(77)
		seen := map[string]int{}
		draws := 40 * c.cells
		for range draws {
			l := must(t)(c.draw(r))
			seen[fmt.Sprint(l.Drawn)]++
		}
		x2 := 0.0
		for _, n := range seen {
			x2 += float64((n-40)*(n-40)) / 40
		}
		x2 += 40 * float64(c.cells-len(seen))
		if len(seen) > c.cells {
			t.Errorf("%s: %d different layouts of %d", what, len(seen), c.cells)
		}
		if limit := chiSquared999(float64(c.cells - 1)); x2 > limit {
			t.Errorf("%s: chi-squared %.1f on %d df, above %.1f", what, x2, c.cells-1, limit)
		}
	}
}

// TestEfficiency: balanced incomplete blocks have λt/(rk) (Yates 1936, Annals of Eugenics 7:121-140), square lattices
// the factor of Yates (1936, J. Agric. Sci. 26:424-455), (p+1)(r−1)/((p+1)(r−1)+r) for p treatments a block.
func TestEfficiency(t *testing.T) {
	fano := [][]int{{0, 1, 2}, {0, 3, 4}, {0, 5, 6}, {1, 3, 5}, {1, 4, 6}, {2, 3, 6}, {2, 4, 5}}
	lattice := [][]int{{0, 1, 2}, {3, 4, 5}, {6, 7, 8}, {0, 3, 6}, {1, 4, 7}, {2, 5, 8}}
	pairsOf4 := [][]int{{0, 1}, {0, 2}, {0, 3}, {1, 2}, {1, 3}, {2, 3}}
	fourOf5 := [][]int{{0, 1, 2, 3}, {0, 1, 2, 4}, {0, 1, 3, 4}, {0, 2, 3, 4}, {1, 2, 3, 4}}
	flat := func(blocks [][]int) (treatment, block []int) {
		for b, in := range blocks {
			for _, tr := range in {
				treatment, block = append(treatment, tr), append(block, b)
			}
		}
		return treatment, block
	}
	for what, c := range map[string]struct {
		blocks     [][]int
		treatments int
		want       float64
	}{
		"7 in threes":           {fano, 7, 7. / 9},
		"4 in pairs":            {pairsOf4, 4, 4. / 6},
		"5 in fours":            {fourOf5, 5, 15. / 16},
		"3 x 3 simple lattice":  {lattice, 9, 4. / 6},
		"complete blocks":       {[][]int{{0, 1, 2}, {0, 1, 2}}, 3, 1},
		"two islands":           {[][]int{{0, 1}, {2, 3}}, 4, 0},
		"a treatment left over": {[][]int{{0, 1}, {0, 1}}, 3, 0},
	} {
		tr, bl := flat(c.blocks)
		e := EfficiencyOf(c.treatments, tr, bl)
		if math.Abs(e.Average-c.want) > 1e-12 || e.Connected != (c.want > 0) {
			t.Errorf("%s: efficiency %.6f (connected %v), want %.6f", what, e.Average, e.Connected, c.want)
		}
		if e.Worst > e.Average+1e-12 {
			t.Errorf("%s: the worst pair %g is above the average %g", what, e.Worst, e.Average)
		}
	}
	// a Latin square loses nothing; a Youden square (Fano's blocks as columns, each treatment once in every row)
	// is as efficient as its columns alone.
	l := must(t)(LatinSquare(5, stream(1)))
	if e := EfficiencyOf(5, l.Drawn[0], l.Row, l.Column); math.Abs(e.Average-1) > 1e-12 {
		t.Errorf("Latin square: efficiency %g, want 1", e.Average)
	}
	var tr, row, column []int
	for j := range 7 { // columns of the difference set {0, 1, 3} mod 7
		for i, d := range []int{0, 1, 3} {
			tr, row, column = append(tr, (j+d)%7), append(row, i), append(column, j)
		}
	}
	if e := EfficiencyOf(7, tr, row, column); math.Abs(e.Average-7./9) > 1e-12 {
		t.Errorf("Youden square: efficiency %g, want 7/9", e.Average)
	}
}

func even(t testing.TB, what string, level []int, levels int) {
	t.Helper()
	n := make([]int, levels)
	for _, l := range level {
		n[l]++
	}
	if slices.Max(n)-slices.Min(n) > 1 {
		t.Errorf("%s: replication %v is not even to within one", what, n)
	}
}

func TestIncompleteBlocksReachBalance(t *testing.T) {
	blocks := func(n, size int) (b []int) {
		for i := range n * size {
			b = append(b, i/size)
		}
		return b
	}
	for what, c := range map[string]struct {
		block      []int
		treatments int
		best       float64
	}{
		"7 in 7 threes": {blocks(7, 3), 7, 7. / 9}, // the best possible, being balanced (Kiefer 1958)
		"5 in 5 fours":  {blocks(5, 4), 5, 15. / 16},
		"4 in 6 pairs":  {blocks(6, 2), 4, 4. / 6},
		"4 in 4 threes": {blocks(4, 3), 4, 8. / 9},
	} {
		l := must(t)(InBlocks(c.block, c.treatments, stream(5)))
		even(t, what, l.Drawn[0], c.treatments)
		for cell, n := range counts(l.Block, l.Drawn[0]) {
			if n > 1 {
				t.Errorf("%s: treatment %d stands %d times in block %d", what, cell[1], n, cell[0])
			}
		}
		if e := EfficiencyOf(c.treatments, l.Drawn[0], l.Block); math.Abs(e.Average-c.best) > 1e-12 {
			t.Errorf("%s: efficiency %.6f, want the balanced design's %.6f", what, e.Average, c.best)
		}
	}
}

// TestMissingPlots: a bed that is not free takes one plot out of a block; the rest stays as even as it can.
func TestMissingPlots(t *testing.T) {
	block := []int{9, 9, 9, 9, 4, 4, 4, 7, 7, 7, 7, 7} // 4, 3 and 5 plots for 4 treatments
	for seed := range uint64(10) {
		l := must(t)(InBlocks(block, 4, stream(seed)))
		even(t, "missing plots", l.Drawn[0], 4)
		for cell, n := range counts(l.Block, l.Drawn[0]) {
			if size := []int{4, 3, 5}[cell[0]]; n > (size+3)/4 {
				t.Fatalf("treatment %d stands %d times in block %d", cell[1], n, cell[0])
			}
		}
	}
}

func grid(rows, columns int, missing ...[2]int) (row, column []int) {
	for i := range rows {
		for j := range columns {
			if !slices.Contains(missing, [2]int{i, j}) {
				row, column = append(row, i), append(column, j)
			}
		}
	}
	return row, column
}

func beside(l Layout) (same int) {
	for i := range l.Row {
		for j := range i {
			if apart := abs(l.Row[i]-l.Row[j]) + abs(l.Column[i]-l.Column[j]); apart == 1 && l.Drawn[0][i] == l.Drawn[0][j] {
				same++
			}
		}
	}
	return same
}

func abs(n int) int { return max(n, -n) }

func TestRowsAndColumns(t *testing.T) {
	for what, c := range map[string]struct {
		rows, columns, treatments, inRow, inColumn int
		missing                                    [][2]int
	}{
		"a square of 5":       {5, 5, 5, 1, 1, nil},
		"4 x 6 with 6":        {4, 6, 6, 1, 1, nil},
		"4 x 6 with 3":        {4, 6, 3, 2, 2, nil},
		"3 x 7 with 7":        {3, 7, 7, 1, 1, nil},
		"4 x 4 less a corner": {4, 4, 4, 1, 1, [][2]int{{0, 0}}},
		"5 x 4 less two":      {5, 4, 4, 1, 2, [][2]int{{0, 3}, {2, 1}}},
	} {
		row, column := grid(c.rows, c.columns, c.missing...)
		l := must(t)(RowColumn(row, column, c.treatments, stream(6)))
		even(t, what, l.Drawn[0], c.treatments)
		for cell, n := range counts(l.Row, l.Drawn[0]) {
			if n > c.inRow {
				t.Errorf("%s: treatment %d stands %d times in row %d", what, cell[1], n, cell[0])
			}
		}
		for cell, n := range counts(l.Column, l.Drawn[0]) {
			if n > c.inColumn {
				t.Errorf("%s: treatment %d stands %d times in column %d", what, cell[1], n, cell[0])
			}
		}
		if n := beside(l); n > 0 {
			t.Errorf("%s: %d times beside itself", what, n)
		}
		if e := EfficiencyOf(c.treatments, l.Drawn[0], l.Row, l.Column); !e.Connected {
			t.Errorf("%s: not connected", what)
		}
	}
}

// TestNamesAreDrawn: in a searched design every treatment is as likely on every plot; chi-squared for each plot.
func TestNamesAreDrawn(t *testing.T) {
	row, column := grid(2, 3)
	for what, draw := range map[string]func(*rand.Rand) (Layout, error){
		"rows and columns":  func(r *rand.Rand) (Layout, error) { return RowColumn(row, column, 3, r) },
		"incomplete blocks": func(r *rand.Rand) (Layout, error) { return InBlocks([]int{0, 0, 1, 1, 2, 2}, 3, r) },
	} {
		r := stream(8)
		var n [6][3]int
		const draws = 240
		for range draws {
			for plot, tr := range must(t)(draw(r)).Drawn[0] {
				n[plot][tr]++
			}
		}
		for plot := range n {
			x2 := 0.0
			for _, v := range n[plot] {
				x2 += float64((v-draws/3)*(v-draws/3)) / (draws / 3.)
			}
			if x2 > 18.2 { // 2 df, p = 0.0001, six plots looked at
				t.Errorf("%s, plot %d: %v", what, plot, n[plot])
			}
		}
	}
}

func TestTheSameSeedGivesTheSame(t *testing.T) {
	row, column := grid(4, 5)
	for what, draw := range map[string]func(*rand.Rand) (Layout, error){
		"square":  func(r *rand.Rand) (Layout, error) { return LatinSquare(7, r) },
		"grid":    func(r *rand.Rand) (Layout, error) { return RowColumn(row, column, 5, r) },
		"missing": func(r *rand.Rand) (Layout, error) { return InBlocks([]int{0, 0, 0, 1, 1, 2, 2, 2}, 4, r) },
	} {
		a, b := must(t)(draw(stream(4))), must(t)(draw(stream(4)))
		if !slices.Equal(a.Drawn[0], b.Drawn[0]) {
			t.Errorf("%s: two draws from one seed differ", what)
		}
	}
}

func TestDesignsThatCannotBe(t *testing.T) {
	r := stream(1)
	for what, draw := range map[string]func() (Layout, error){
		"one treatment":       func() (Layout, error) { return CompleteBlocks(1, 4, r) },
		"no block":            func() (Layout, error) { return Pairs(0, r) },
		"a square of 1":       func() (Layout, error) { return LatinSquare(1, r) },
		"a square of 13":      func() (Layout, error) { return LatinSquare(13, r) },
		"one part":            func() (Layout, error) { return SplitPlot(3, 2, 1, r) },
		"one strip":           func() (Layout, error) { return StripPlot(3, 1, 2, r) },
		"more than plots":     func() (Layout, error) { return InBlocks([]int{0, 0, 1}, 4, r) },
		"blocks of one":       func() (Layout, error) { return InBlocks([]int{0, 1, 2, 3}, 2, r) },
		"islands":             func() (Layout, error) { return InBlocks([]int{0, 0, 1, 1}, 4, r) },
		"two plots one place": func() (Layout, error) { return RowColumn([]int{0, 0, 1}, []int{1, 1, 0}, 2, r) },
		"a line too thin":     func() (Layout, error) { return RowColumn([]int{0, 0, 0, 0}, []int{0, 1, 2, 3}, 3, r) },
	} {
		if l, err := draw(); err == nil {
			t.Errorf("%s: accepted as %v", what, l.Drawn)
		}
	}
}

func BenchmarkLatinSquare(b *testing.B) {
	for _, k := range []int{4, 6, 10} {
		b.Run(fmt.Sprintf("order=%d", k), func(b *testing.B) {
			r := stream(1)
			for range b.N {
				must(b)(LatinSquare(k, r))
			}
		})
	}
}

func BenchmarkRowColumn(b *testing.B) {
	for _, k := range []int{4, 6, 9} {
		row, column := grid(k, k+1)
		b.Run(fmt.Sprintf("plots=%d", len(row)), func(b *testing.B) {
			r := stream(1)
			for range b.N {
				must(b)(RowColumn(row, column, k, r))
			}
		})
	}
}

func BenchmarkInBlocks(b *testing.B) {
	var block []int
	for i := range 40 {
		block = append(block, i/4)
	}
	for range b.N {
		must(b)(InBlocks(block, 10, stream(1)))
	}
}
