package reckon

import (
	"fmt"
	"slices"
	"strings"
)

// sorted returns the lists as one, by subject in the order of the lists given first and by name within.
func sorted(lists ...[]Calculator) []Calculator {
	all := slices.Concat(lists...)
	var subjects []string
	for _, c := range all {
		if !slices.Contains(subjects, c.Subject) {
			subjects = append(subjects, c.Subject)
		}
	}
	slices.SortStableFunc(all, func(a, b Calculator) int {
		if a.Subject != b.Subject {
			return slices.Index(subjects, a.Subject) - slices.Index(subjects, b.Subject)
		}
		return strings.Compare(a.Name, b.Name)
	})
	return all
}

// Find returns the calculator of the name; spaces and capitals do not matter.
func Find(name string) (Calculator, bool) {
	for _, c := range All() {
		if c.Name == plainName(name) {
			return c, true
		}
	}
	return Calculator{}, false
}

func plainName(s string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r == ' ' || r == '-' || r == '_' }), "-")
}

// Run works out one calculator from its inputs as they were written. A name that is not known is answered with the
// nearest ones; what is wrong with an input is said in an *Error.
func Run(name string, inputs map[string]string) (Answer, error) {
	c, ok := Find(name)
	if !ok {
		var names []string
		for _, c := range All() {
			names = append(names, c.Name)
		}
		return Answer{}, refuse("", fmt.Sprintf("there is no calculator %q", name), offer(name, names))
	}
	v, err := c.read(inputs)
	if err != nil {
		return Answer{}, err
	}
	a, err := c.Run(v)
	if err != nil {
		return Answer{}, err
	}
	a.Name, a.Inputs = c.Name, v.said()
	a.Source = cite(a.Source)
	return a, nil
}

// offer names what may have been meant, or everything there is.
func offer(word string, among []string) string {
	if near := nearest(plainName(word), among); len(near) > 0 {
		return "did you mean " + alternatives(near) + "?"
	}
	return "there are: " + strings.Join(among, ", ")
}

func alternatives(words []string) string {
	if len(words) == 1 {
		return words[0]
	}
	return strings.Join(words[:len(words)-1], ", ") + " or " + words[len(words)-1]
}

// nearest returns at most four of the names: those that hold the word or begin like it, and slips of the pen.
func nearest(word string, among []string) []string {
	type hit struct {
		name string
		far  int
	}
	var hits []hit
	for _, n := range among {
		d := slips(word, n)
		if len(word) > 2 && (strings.Contains(n, word) || strings.Contains(word, n)) {
			d = 1
		}
		if d <= 1+len(word)/4 {
			hits = append(hits, hit{n, d})
		}
	}
	slices.SortStableFunc(hits, func(a, b hit) int { return a.far - b.far })
	var out []string
	for _, h := range hits[:min(4, len(hits))] {
		out = append(out, h.name)
	}
	return out
}

// slips counts the letters to add, drop or change to turn one word into the other.
func slips(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		corner := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			change := corner
			if a[i-1] != b[j-1] {
				change++
			}
			corner = row[j]
			row[j] = min(row[j]+1, row[j-1]+1, change)
		}
	}
	return row[len(b)]
}
