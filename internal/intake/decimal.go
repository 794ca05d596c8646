package intake

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"fairplot/internal/garden"
)

var (
	withComma = regexp.MustCompile(`^[+-]?(\d+,\d*|,\d+)([eE][+-]?\d+)?$`)
	withPoint = regexp.MustCompile(`^[+-]?(\d+\.\d*|\.\d+)([eE][+-]?\d+)?$`)
	whole     = regexp.MustCompile(`^[+-]?\d+([eE][+-]?\d+)?$`)
)

// PlainDecimals returns the table with points for decimal marks. A decimal comma is understood where a semicolon or tab stands between the columns
// and all columns of numbers agree on it; where they do not, the table is refused with the two columns that differ.
func (t Table) PlainDecimals() (Table, error) {
	if t.Mark != ';' && t.Mark != '\t' {
		return t, nil
	}
	var commas, points []int
	for i := range t.Header {
		switch marks(t.Column(i)) {
		case ',':
			commas = append(commas, i)
		case '.':
			points = append(points, i)
		}
	}
	switch {
	case len(commas) == 0:
		return t, nil
	case len(points) > 0:
		return t, &garden.Error{Kind: garden.Invalid, Text: fmt.Sprintf("column %q has decimal commas and column %q has points", t.Header[commas[0]], t.Header[points[0]]),
			Hint: "write all numbers with the same mark"}
	}
	out := t
	out.Rows = make([][]string, len(t.Rows))
	for r, row := range t.Rows {
		out.Rows[r] = slices.Clone(row)
		for _, i := range commas {
			if i < len(row) {
				out.Rows[r][i] = strings.Replace(row[i], ",", ".", 1)
			}
		}
	}
	return out, nil
}

// marks returns the decimal mark of a column of numbers, 0 for one without marks or with anything else in it.
func marks(cells []string) rune {
	mark := rune(0)
	for _, c := range cells {
		c = strings.TrimSpace(c)
		switch {
		case c == "", c == "NA", c == "NaN", whole.MatchString(c):
		case withComma.MatchString(c) && mark != '.':
			mark = ','
		case withPoint.MatchString(c) && mark != ',':
			mark = '.'
		default:
			return 0
		}
	}
	return mark
}
