package unit

import (
	"fmt"
	"math"
	"strings"
)

// System is the family of units a book is written in. Both are always read; the system settles what is ambiguous and
// what is written.
type System uint8

// The systems.
const (
	Metric System = iota
	US            // US customary
)

// Default names the unit of a number that has none, such as "cm"; NoDefault refuses such a number.
type Default string

// NoDefault refuses a number without a unit.
const NoDefault Default = ""

// Reader reads quantities for one book. The zero value is metric and knows no loads.
type Reader struct {
	System   System
	Currency string          // ISO 4217, the book's own
	Loads    map[string]Load // by name, in lower case
}

// term is one number with its unit as written.
type term struct {
	value  float64
	places int
	unit   string
}

// read returns the quantity in SI.
func (r Reader) read(d dimension, s string, bare Default) (float64, error) {
	text := clean(s)
	if text == "" {
		return 0, &Error{Text: "there is no " + strings.TrimPrefix(strings.TrimPrefix(abouts[d].name, "a "), "an "), Hint: "write one such as " + r.example(d)}
	}
	terms, err := split(text)
	if err != nil {
		return 0, err
	}
	total, last := 0.0, math.Inf(1)
	for i, t := range terms {
		size, err := r.size(d, s, bare, terms, i)
		if err != nil {
			return 0, err
		}
		if i > 0 && (size >= last || t.value < 0) {
			return 0, &Error{Text: fmt.Sprintf("%q does not go from the larger unit to the smaller", shorten(s)), Hint: "write it as " + r.example(d)}
		}
		part := t.value * size
		if math.Signbit(terms[0].value) && i > 0 {
			part = -part
		}
		total, last = total+part, size
	}
	if math.IsInf(total, 0) || math.IsNaN(total) {
		return 0, &Error{Text: fmt.Sprintf("%q is too large to be kept", shorten(s)), Hint: "is the unit right?"}
	}
	return total, nil
}

// size returns what one unit of the i-th term is in SI.
func (r Reader) size(d dimension, s string, bare Default, terms []term, i int) (float64, error) {
	name := terms[i].unit
	if name == "" && i > 0 {
		name = follows(d, terms[i-1].unit)
	}
	if name == "" && d != count {
		name = string(bare)
	}
	if name == "" && d != count {
		return 0, &Error{Text: fmt.Sprintf("%q has no unit for %s", shorten(s), abouts[d].name), Hint: "write it as in " + r.example(d)}
	}
	if size, ok := r.lookUp(d, name); ok {
		return size, nil
	}
	return 0, r.unknown(d, s, name)
}

// follows is the unit of a last number without one: 1h30 and 5'6.
func follows(d dimension, before string) string {
	switch before = key(before); {
	case d == duration && (before == "h" || before == "hr"):
		return "min"
	case (d == length || d == depth) && (before == "'" || before == "ft"):
		return "in"
	}
	return ""
}

// lookUp finds a simple or compound unit, or one of the grower's loads.
func (r Reader) lookUp(d dimension, name string) (float64, bool) {
	if d == depth {
		if size, ok := r.lookUp(length, name); ok {
			return size, true
		}
	}
	above, below, compound := cutPer(name)
	if both, ok := parts[d]; ok {
		if !compound {
			return 0, false
		}
		top, ok := r.lookUp(both[0], above)
		if both[0] == count {
			top, ok = 1, ok || counted(above)
		}
		n, bottom, ok2 := r.below(both[1], below)
		return top / (n * bottom), ok && ok2
	}
	if size, ok := names[d][key(name)]; ok {
		return size, true
	}
	if d == mass && r.System == US && (key(name) == "ton" || key(name) == "tons") {
		return float64(shortTon), true
	}
	return r.load(d, name)
}

// counted reports whether the word is what spacings count.
func counted(word string) bool {
	switch key(word) {
	case "plant", "plants", "seed", "seeds", "stem", "stems", "core", "cores":
		return true
	}
	return false
}

// below reads what stands under the stroke: a unit that may have a number before it, as in 100 sq ft.
func (r Reader) below(d dimension, s string) (n, size float64, ok bool) {
	n = 1
	if digitRun(s) > 0 {
		var err error
		if n, _, s, err = number(s); err != nil || n <= 0 {
			return 1, 1, false
		}
	}
	size, ok = r.lookUp(d, strings.TrimSpace(s))
	return n, size, ok && size > 0
}

// cutPer divides a compound unit at its stroke or at the word per.
func cutPer(name string) (above, below string, ok bool) {
	above, below, ok = strings.Cut(name, "/")
	if !ok {
		above, below, ok = strings.Cut(" "+name, " per ")
	}
	return strings.TrimSpace(above), strings.TrimSpace(below), ok
}

func (r Reader) unknown(d dimension, s, name string) error {
	hint := "write it as in " + r.example(d)
	for other := range dimensions {
		if other == count || other == d {
			continue
		}
		if _, ok := r.lookUp(other, name); ok {
			return &Error{Text: fmt.Sprintf("%q is %s, but %s is wanted here", shorten(s), abouts[other].name, abouts[d].name), Hint: hint}
		}
	}
	if k := key(name); d == mass && (k == "ton" || k == "tons") {
		return &Error{Text: fmt.Sprintf("%q could be tonnes of 1000 kg or tons of 2000 lb", shorten(s)), Hint: "write t, kg or lb"}
	}
	if d == volume || d == mass {
		hint += ", or set up a measure of your own with that name"
	}
	return &Error{Text: fmt.Sprintf("%q is no unit of %s that is known here", shorten(name), strings.TrimPrefix(strings.TrimPrefix(abouts[d].name, "a "), "an ")), Hint: hint}
}

func (r Reader) example(d dimension) string {
	if r.System == US {
		return abouts[d].us
	}
	return abouts[d].metric
}
