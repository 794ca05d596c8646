package unit

import (
	"fmt"
	"strings"
)

// Column looks at all cells of one column of a file at once and returns an error, which is a question, if its commas or points
// may be thousands marks: when some cell has two, or when every mark has three digits behind it. Cells that are no
// numbers are passed over; they are refused where they are read.
func Column(cells []string) error {
	unclear, decimal := "", false
	for _, cell := range cells {
		digits, ok := figures(cell)
		if !ok {
			continue
		}
		if strings.Count(digits, ".")+strings.Count(digits, ",") > 1 {
			return &Error{Text: fmt.Sprintf("%q has two marks, so this column has thousands marks", shorten(cell)), Hint: "take the thousands marks out of the column and read the file again"}
		}
		whole, behind, marked := strings.Cut(strings.ReplaceAll(digits, ",", "."), ".")
		switch {
		case !marked:
		case len(behind) != 3 || whole == "" || len(whole) > 3 || whole[0] == '0':
			decimal = true
		case unclear == "":
			unclear = cell
		}
	}
	if unclear == "" || decimal {
		return nil
	}
	plain := strings.NewReplacer(",", "", ".", "").Replace(unclear)
	return &Error{Text: fmt.Sprintf("every mark in this column has three digits behind it: is %q decimals, or does it mean %s?", shorten(unclear), shorten(plain)),
		Hint: "say that the marks are decimal marks, or take the thousands marks out of the column"}
}

// figures returns the digits and marks a cell begins with.
func figures(cell string) (string, bool) {
	s := strings.TrimLeft(clean(cell), "+-")
	end := len(s) - len(strings.TrimLeft(s, "0123456789.,"))
	s = strings.TrimRight(s[:end], ".,")
	return s, strings.ContainsAny(s, "0123456789")
}
