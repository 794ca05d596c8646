package word_test

import (
	"slices"
	"testing"

	"fairplot/internal/word"
)

// The distances are counted by hand.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"leek", "leek", 0}, {"leek", "leak", 1}, {"leek", "elek", 1}, {"leek", "leeks", 1}, {"kale", "", 4}, {"onion", "noino", 2}} {
		if got := word.Distance([]rune(c.a), []rune(c.b)); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
		if got := word.Distance([]rune(c.b), []rune(c.a)); got != c.want {
			t.Errorf("%q to %q: %d, want %d", c.b, c.a, got, c.want)
		}
	}
}

func TestNear(t *testing.T) {
	known := []string{"carrot", "parsnip", "bed 12", "bed 13", "compost"}
	for name, want := range map[string][]string{"carot": {"carrot"}, "Pars": {"parsnip"}, "bed 14": nil, "zebra": nil} {
		if got := word.Near(name, known); !slices.Equal(got, want) {
			t.Errorf("near %q: %v, want %v", name, got, want)
		}
	}
}

func TestAnd(t *testing.T) {
	if got := word.And([]string{"a", "b", "c"}); got != "a, b and c" {
		t.Errorf("got %q", got)
	}
}

func TestOr(t *testing.T) {
	for want, words := range map[string][]string{"a, b or c": {"a", "b", "c"}, "a or b": {"a", "b"}, "a": {"a"}, "": nil} {
		if got := word.Or(words); got != want {
			t.Errorf("%q: got %q", words, got)
		}
	}
}
