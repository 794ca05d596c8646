package unit

import (
	"fmt"
	"strings"
)

// maxTerms bounds what is read as one quantity: 2 d 3 h 20 min 5 s.
const maxTerms = 4

// split cuts a text into numbers with the units behind them.
func split(s string) ([]term, error) {
	var out []term
	for rest := s; rest != ""; {
		if len(out) == maxTerms {
			return nil, &Error{Text: fmt.Sprintf("%q is more than one quantity", shorten(s)), Hint: "write one quantity in each field"}
		}
		value, places, after, err := number(rest)
		if err != nil {
			return nil, err
		}
		end := unitEnd(after)
		out = append(out, term{value: value, places: places, unit: strings.Trim(after[:end], " ")})
		rest = after[end:]
	}
	return out, nil
}

// unitEnd returns where the unit that s begins with ends: before the next number, unless the digit belongs to the unit (m2) or
// stands under its stroke (lb/100 sq ft).
func unitEnd(s string) int {
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '/' || strings.HasPrefix(s[i:], "per "):
			return len(s)
		case isDigit(s[i]) && !raised(s, i), (s[i] == '-' || s[i] == '.' || s[i] == ',') && i+1 < len(s) && isDigit(s[i+1]) && !raised(s, i+1):
			return i
		}
	}
	return len(s)
}

// raised reports whether the digit at i is the power of a unit of length: m2, ft3.
func raised(s string, i int) bool {
	if s[i] != '2' && s[i] != '3' || i+1 < len(s) && (isDigit(s[i+1]) || s[i+1] == '.' || s[i+1] == ',') {
		return false
	}
	word := s[:i]
	word = word[strings.LastIndexByte(word, ' ')+1:]
	switch strings.ToLower(word) {
	case "m", "cm", "dm", "mm", "ft", "in", "yd":
		return true
	}
	return false
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
