// Package word deals with words that were nearly right: names offered for one that nobody knows, and lists as a sentence
// writes them. It knows no names of its own.
package word

import (
	"slices"
	"strings"
)

// Fold puts a name into the form in which names are compared: lower case, single spaces.
func Fold(name string) string {
	if folded(name) {
		return name
	}
	return strings.ToLower(strings.Join(strings.Fields(name), " "))
}

// folded finds the names that are in that form already, which are nearly all: files have the same few a hundred thousand times.
func folded(name string) bool {
	blank := true
	for i := range len(name) {
		c := name[i]
		switch {
		case c == ' ' && blank, c >= 'A' && c <= 'Z', c >= 0x80, c < ' ':
			return false
		}
		blank = c == ' '
	}
	return !blank || name == ""
}

// Near returns the known names that somebody who wrote name may have meant, the nearest first, at most four. Names that differ
// in a digit are never near: bed 12 is no slip for bed 13.
func Near(name string, known []string) []string {
	type candidate struct {
		name string
		far  int
	}
	want := []rune(Fold(name))
	allowed := min(3, 1+len(want)/5)
	var found []candidate
	for _, k := range known {
		have := []rune(Fold(k))
		if digits(want) != digits(have) {
			continue
		}
		far := Distance(want, have)
		begins := len(want) >= 2 && strings.HasPrefix(string(have), string(want))
		if far <= allowed || begins {
			found = append(found, candidate{k, far})
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int { return a.far - b.far })
	var out []string
	for _, c := range found {
		if !slices.Contains(out, c.name) && len(out) < 4 {
			out = append(out, c.name)
		}
	}
	return out
}

func digits(s []rune) string {
	var b strings.Builder
	for _, c := range s {
		if c >= '0' && c <= '9' {
			b.WriteRune(c)
		}
	}
	return b.String()
}

// Distance counts the letters to put in, take out, replace or swap with a neighbour (Damerau 1964).
func Distance(a, b []rune) int {
	rows := [3][]int{}
	for i := range rows {
		rows[i] = make([]int, len(b)+1)
	}
	for j := range rows[1] {
		rows[1][j] = j
	}
	for i := 1; i <= len(a); i++ {
		two, one, now := rows[0], rows[1], rows[2]
		now[0] = i
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			now[j] = min(one[j]+1, now[j-1]+1, one[j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				now[j] = min(now[j], two[j-2]+1)
			}
		}
		rows[0], rows[1], rows[2] = one, now, two
	}
	return rows[1][len(b)]
}

// Meant asks whether one of the names was meant, as "did you mean a or b?"; "" if there are none.
func Meant(near []string) string {
	if len(near) == 0 {
		return ""
	}
	return "did you mean " + Or(near) + "?"
}

// Hint is what to say beside a name nobody knows: those it may have meant, or else those there are.
func Hint(name string, known []string) string {
	if near := Near(name, known); len(near) > 0 {
		return Meant(near)
	}
	if len(known) == 0 {
		return "there are none yet"
	}
	shown := slices.Clone(known)
	slices.Sort(shown)
	shown = slices.Compact(shown)
	if len(shown) > 12 {
		return "there are " + strings.Join(shown[:12], ", ") + " and more"
	}
	return "there are " + strings.Join(shown, ", ")
}

// A puts the article before a noun: "a bed", "an amendment".
func A(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// And joins words as a sentence lists them: "a, b and c".
func And(words []string) string { return join(words, " and ") }

// Or joins words as a sentence offers them: "a, b or c".
func Or(words []string) string { return join(words, " or ") }

func join(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + last + words[len(words)-1]
}
