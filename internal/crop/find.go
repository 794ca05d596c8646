package crop

import (
	"cmp"
	"slices"
	"strings"
	"sync"

	"fairplot/internal/word"
)

var index = sync.OnceValue(func() map[string]int {
	out := map[string]int{}
	for i, c := range list {
		for _, n := range slices.Concat([]string{c.Name, c.Plural}, c.Aliases) {
			out[plain(n)] = i
		}
	}
	return out
})

// Find returns the crop of the name: its own, its plural, or a common name of it in the UK or US, in any case.
func Find(name string) (Crop, bool) {
	at := index()
	for _, n := range singulars(plain(name)) {
		if i, ok := at[n]; ok {
			return list[i], true
		}
	}
	return Crop{}, false
}

// plain folds case, hyphens, apostrophes and runs of spaces.
func plain(s string) string {
	s = strings.NewReplacer("-", " ", "'", "", "’", "", "â", "a", "é", "e").Replace(strings.ToLower(s))
	return strings.Join(strings.Fields(s), " ")
}

// singulars returns the name and what it may be the plural of.
func singulars(n string) []string {
	out := []string{n}
	if s, ok := strings.CutSuffix(n, "ies"); ok {
		out = append(out, s+"y")
	}
	if s, ok := strings.CutSuffix(n, "es"); ok {
		out = append(out, s)
	}
	if s, ok := strings.CutSuffix(n, "s"); ok {
		out = append(out, s)
	}
	return out
}

// Near returns the names of at most five crops that the name may have been meant for, the nearest first: slips of the pen in any
// of a crop's names, and crops that have the word in their name.
func Near(name string) []string {
	type hit struct {
		name string
		far  int
	}
	want := plain(name)
	if want == "" {
		return nil
	}
	best := map[string]int{}
	for n, i := range index() {
		d := word.Distance([]rune(want), []rune(n))
		if wordIn(want, n) {
			d = 1
		}
		if d > 1+len(want)/5 {
			continue
		}
		if had, ok := best[list[i].Name]; !ok || d < had {
			best[list[i].Name] = d
		}
	}
	hits := make([]hit, 0, len(best))
	for n, d := range best {
		hits = append(hits, hit{n, d})
	}
	slices.SortFunc(hits, func(a, b hit) int { return cmp.Or(cmp.Compare(a.far, b.far), cmp.Compare(a.name, b.name)) })
	var out []string
	for _, h := range hits[:min(5, len(hits))] {
		out = append(out, h.name)
	}
	return out
}

// wordIn reports whether the words share a whole word, or one begins with the other.
func wordIn(want, name string) bool {
	if len(want) >= 3 && strings.HasPrefix(name, want) {
		return true
	}
	return slices.Contains(strings.Fields(name), want) && len(want) >= 3
}
