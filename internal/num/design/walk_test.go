package design

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// TestWalkIsEvenOnSmallSquares: the walk used beyond order 6 is tried where all squares can be counted: 576 of order 4.
// 30 draws each; chi-squared on 575 df at 0.999 is 687 (Wilson & Hilferty).
func TestWalkIsEvenOnSmallSquares(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	seen := map[string]int{}
	for range 576 * 30 {
		seen[fmt.Sprint(walk(4, 64, r))]++
	}
	x2 := 30 * float64(576-len(seen))
	for _, n := range seen {
		x2 += float64((n-30)*(n-30)) / 30
	}
	if len(seen) > 576 || x2 > 687 {
		t.Errorf("%d squares seen of 576, chi-squared %.0f", len(seen), x2)
	}
}

// TestScoreIsKept: the running change of the score equals a recount.
func TestScoreIsKept(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	g, err := newGrid([]int{0, 0, 0, 1, 1, 1, 2, 2}, []int{0, 1, 2, 0, 1, 2, 0, 2}, 3)
	if err != nil {
		t.Fatal(err)
	}
	g.start(r)
	score := g.score()
	for range 500 {
		score += g.exchange(r.IntN(8), r.IntN(8))
		if again := g.score(); again != score {
			t.Fatalf("score %d, recounted %d", score, again)
		}
	}
}
