package model

import "strings"

// nearest returns the name that a mistyped one most likely stands for, or "": equal but for capitals and marks, or at
// most a third of its letters away.
func nearest(name string, names []string) string {
	best, least := "", (len([]rune(name))+2)/3+1
	for _, n := range names {
		if n == "" {
			continue
		}
		if plain(n) == plain(name) {
			return n
		}
		if d := distance(strings.ToLower(name), strings.ToLower(n)); d < least {
			best, least = n, d
		}
	}
	return best
}

func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" ._-", r) {
			return -1
		}
		return r
	}, strings.ToLower(s))
}

// distance counts the insertions, deletions, replacements and swaps of neighbours that lead from a to b.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	before, last := make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(x); i++ {
		row := make([]int, len(y)+1)
		row[0] = i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(row[j-1]+1, last[j]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last = last, row
	}
	return last[len(y)]
}
