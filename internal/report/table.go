package report

import (
	"strings"

	"fairplot/internal/finding"
)

// table prints a table with numbers to the right and words to the left.
func (p *page) table(t finding.Table) {
	p.blank()
	if t.Title != "" {
		p.b.WriteString(t.Title + "\n")
	}
	p.b.WriteString(Columns(t, "  "))
}

// Columns sets a table in columns, each line beginning with the margin. A column of numbers stands to the right.
func Columns(t finding.Table, margin string) string {
	heads := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		heads[i] = Head(c)
	}
	width := make([]int, len(heads))
	right := make([]bool, len(heads))
	for i := range heads {
		width[i] = runes(heads[i])
		right[i] = len(t.Rows) > 0
		for _, row := range t.Rows {
			width[i] = max(width[i], runes(row[i]))
			right[i] = right[i] && numeric(row[i])
		}
	}
	var b strings.Builder
	for _, row := range append([][]string{heads}, t.Rows...) {
		line := margin
		for i, cell := range row {
			pad := strings.Repeat(" ", width[i]-runes(cell))
			if right[i] {
				line += pad + cell + "  "
			} else {
				line += cell + pad + "  "
			}
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

// Head is a column's name with its unit.
func Head(c finding.Column) string {
	if c.Unit == "" {
		return c.Name
	}
	return c.Name + " (" + c.Unit + ")"
}

func runes(s string) int { return len([]rune(s)) }

// numeric reports whether a cell is a number, or words for a missing one.
func numeric(cell string) bool {
	switch cell {
	case "", "not known", "not noted", "none yet", "open":
		return true
	}
	for _, c := range cell {
		if !(c >= '0' && c <= '9' || c == '.' || c == '-' || c == '+') {
			return false
		}
	}
	return true
}
