package model

import (
	"cmp"
	"math"
	"strings"
)

// Natural orders level names: plain numbers first, by value; then the rest, runs of digits in them by value and all
// else by code point. Names that compare as equal (1 and 1.0) follow their code points.
func Natural(a, b string) int {
	x, isX := number(a)
	y, isY := number(b)
	switch {
	case isX && isY:
		return cmp.Or(cmp.Compare(x, y), strings.Compare(a, b))
	case isX:
		return -1
	case isY:
		return 1
	}
	return cmp.Or(chunks(a, b), strings.Compare(a, b))
}

// chunks compares piece by piece. Where one side has digits and the other none, the bytes decide, and so they do behind
// a decimal point (0.25 m before 0.5 m); both depend on the common beginning alone, which keeps it one order.
func chunks(a, b string) int {
	whole, fraction := false, false
	for a != "" && b != "" {
		i, j := digits(a), digits(b)
		if i > 0 && j > 0 && !fraction {
			x, y := strings.TrimLeft(a[:i], "0"), strings.TrimLeft(b[:j], "0")
			if c := cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(x, y)); c != 0 {
				return c
			}
			a, b = a[i:], b[j:]
			whole = true
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		fraction = a[0] == '.' && whole || fraction && i > 0
		whole = false
		a, b = a[1:], b[1:]
	}
	return cmp.Compare(len(a), len(b))
}

func digits(s string) int {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

// sameNumber tells whether two different spellings mean one number.
func sameNumber(a, b string) bool {
	x, isX := number(a)
	y, isY := number(b)
	return isX && isY && x == y && !math.IsInf(x, 0)
}
