package model

import (
	"math"
	"strconv"
	"strings"
)

// Missing tells whether a cell counts as not there: empty, NA or NaN.
func Missing(cell string) bool {
	return cell == "" || cell == "NA" || cell == "NaN"
}

// number reads a cell by the one grammar of numbers: sign, digits, one point, exponent; and the infinities, which are
// numbers here so that they can be refused by name. Hexadecimal, underscores and lower-case nan are words.
func number(cell string) (float64, bool) {
	if !numeric(cell) {
		switch strings.ToLower(strings.TrimLeft(cell, "+-")) {
		case "inf", "infinity":
			if len(cell)-len(strings.TrimLeft(cell, "+-")) > 1 {
				return 0, false
			}
			if cell[0] == '-' {
				return math.Inf(-1), true
			}
			return math.Inf(1), true
		}
		return 0, false
	}
	v, err := strconv.ParseFloat(cell, 64)
	// Out of range is infinity with an error: 1e999 is refused as what it became.
	return v, err == nil || math.IsInf(v, 0)
}

func numeric(s string) bool {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	digits := 0
	for point := false; i < len(s); i++ {
		if s[i] == '.' && !point {
			point = true
			continue
		}
		if s[i] < '0' || s[i] > '9' {
			break
		}
		digits++
	}
	if digits == 0 {
		return false
	}
	if i == len(s) {
		return true
	}
	if s[i] != 'e' && s[i] != 'E' {
		return false
	}
	i++
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	if i == len(s) {
		return false
	}
	for ; i < len(s); i++ {
		if s[i] < '0' || s[i] > '9' {
			return false
		}
	}
	return true
}
