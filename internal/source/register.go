package source

import (
	"cmp"
	"slices"
)

func sorted(lists ...[]Source) []Source {
	all := slices.Concat(lists...)
	slices.SortFunc(all, func(a, b Source) int { return cmp.Compare(a.Key, b.Key) })
	return all
}

// Find returns the source with the key.
func Find(key string) (Source, bool) {
	for _, s := range All() {
		if s.Key == key {
			return s, true
		}
	}
	return Source{}, false
}
