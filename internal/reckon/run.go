package reckon

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/source"
	"fairplot/internal/word"
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
	a.Source, a.Checked = cite(a.Source), source.Status(a.Status).Says()
	return a, nil
}

// offer names what may have been meant, or what there is.
func offer(wrong string, among []string) string { return word.Hint(plainName(wrong), among) }
