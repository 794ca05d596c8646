package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The one rule for numbers: a comma or a point is the decimal mark, at most one of them, and never a thousands mark.

// plain maps what keyboards, spreadsheets and phones write to the few signs that are read.
var plain = strings.NewReplacer(
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\t", " ", "−", "-", "–", "-",
	"²", "2", "³", "3", "^", "", "′", "'", "’", "'", "″", `"`, "”", `"`, "“", `"`, "''", `"`,
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8",
	"º", "°", "˚", "°")

// clean trims the text and makes its signs plain.
func clean(s string) string { return strings.TrimSpace(plain.Replace(s)) }

// number reads the number that s begins with and returns what stands behind it; places counts the digits behind the
// mark. A whole number may be followed by a vulgar fraction as on a ruler: 1 1/2.
func number(s string) (value float64, places int, rest string, err error) {
	end := numberEnd(s)
	if end == 0 {
		return 0, 0, s, &Error{Text: fmt.Sprintf("%q does not begin with a number", shorten(s)), Hint: "write the number first, then the unit, such as 1.5 kg"}
	}
	digits, rest := strings.Replace(s[:end], ",", ".", 1), s[end:]
	if err := marks(s, digits, rest); err != nil {
		return 0, 0, s, err
	}
	value, err = strconv.ParseFloat(digits, 64)
	if err != nil || math.IsInf(value, 0) {
		return 0, 0, s, &Error{Text: fmt.Sprintf("%q is no number that can be kept", shorten(s)), Hint: "is a mark or a blank missing?"}
	}
	mark := strings.IndexByte(digits, '.')
	if mark >= 0 {
		return value, len(digits) - mark - 1, rest, nil
	}
	value, rest = fraction(digits, value, rest)
	return value, 0, rest, nil
}

// numberEnd returns the length of the number that s begins with: sign, digits, one mark, digits, power of ten.
func numberEnd(s string) int {
	i := 0
	if i < len(s) && (s[i] == '-' || s[i] == '+') {
		i++
	}
	whole := digitRun(s[i:])
	i += whole
	behind := 0
	if i < len(s) && (s[i] == '.' || s[i] == ',') {
		behind = digitRun(s[i+1:])
		if behind == 0 {
			return i * min(whole, 1)
		}
		i += 1 + behind
	}
	if whole+behind == 0 {
		return 0
	}
	return i + power(s[i:])
}

// power returns the length of a power of ten such as e-05, which spreadsheets write.
func power(s string) int {
	if len(s) < 2 || s[0] != 'e' && s[0] != 'E' {
		return 0
	}
	i := 1
	if s[i] == '-' || s[i] == '+' {
		i++
	}
	n := digitRun(s[i:])
	if n == 0 {
		return 0
	}
	return i + n
}

// digitRun returns how many digits s begins with.
func digitRun(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// marks refuses a second mark, a mark without digits and digits set apart in groups.
func marks(s, digits, rest string) error {
	if rest == "" {
		return nil
	}
	next := strings.TrimLeft(rest, " ")
	switch {
	case rest[0] == '.' || rest[0] == ',':
		if digitRun(rest[1:]) == 0 {
			return &Error{Text: fmt.Sprintf("%q has a mark with no digits behind it", shorten(s)), Hint: "leave the mark out, or write the digits"}
		}
		return &Error{Text: fmt.Sprintf("%q has two marks", shorten(s)),
			Hint: "a comma or a point is the decimal mark and there is no thousands mark: write 1234.5 or 1234,5"}
	case len(next) < len(rest) && digitRun(next) > 0 && vulgar(next) == 0:
		return &Error{Text: fmt.Sprintf("%q has a blank inside a number", shorten(s)), Hint: "write the digits together, and a unit behind each number"}
	}
	return nil
}

// vulgar returns the length of a fraction as on a ruler or a measuring jug, such as 3/4, that s begins with.
func vulgar(s string) int {
	n := digitRun(s)
	if n == 0 || n > 2 || n >= len(s) || s[n] != '/' {
		return 0
	}
	d := digitRun(s[n+1:])
	below, _ := strconv.Atoi(s[n+1 : n+1+d])
	above, _ := strconv.Atoi(s[:n])
	switch below {
	case 2, 3, 4, 5, 6, 8, 16:
		if above < below {
			return n + 1 + d
		}
	}
	return 0
}

// fraction adds a vulgar fraction that follows a whole number, or reads the whole number as its upper part.
func fraction(digits string, value float64, rest string) (float64, string) {
	sign := 1.0
	if strings.HasPrefix(digits, "-") {
		sign = -1
	}
	whole := strings.TrimLeft(digits, "+-")
	if n := vulgar(whole + rest); n > len(whole) {
		return sign * quotient((whole + rest)[:n]), (whole + rest)[n:]
	}
	next := strings.TrimLeft(rest, " ")
	if n := vulgar(next); n > 0 && len(next) < len(rest) {
		return value + sign*quotient(next[:n]), next[n:]
	}
	return value, rest
}

func quotient(s string) float64 {
	above, below, _ := strings.Cut(s, "/")
	a, _ := strconv.ParseFloat(above, 64)
	b, _ := strconv.ParseFloat(below, 64)
	return a / b
}
