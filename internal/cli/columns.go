package cli

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/intake"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

// column is what a column of a file holds.
type column struct {
	at    int
	field diary.Field
	unit  string // behind bare numbers, from the head: "mass (kg)"
}

// otherHeads are heads that people give to fields besides the fields' own names.
var otherHeads = map[string]string{
	"beds": "bed", "weight": "mass", "net": "mass", "net-weight": "mass", "day": "date", "when": "date", "sown": "date",
	"spacing": "in-row", "row-spacing": "between-rows", "number": "count", "pieces": "count", "remarks": "note", "notes": "note",
	"comment": "note", "minutes": "time", "hours": "time", "compost": "material", "rainfall": "rain", "tmin": "min", "tmax": "max",
}

// headUnits are the units that some heads imply.
var headUnits = map[string]string{"minutes": "min", "hours": "h"}

// columnsOf matches the heads of a table with the fields of a kind. Order does not matter. All that is wrong is told at once.
func columnsOf(k garden.Kind, t intake.Table, ignore []string) ([]column, error) {
	fields := diary.Fields(k)
	known := []string{"id"}
	for _, f := range fields {
		known = append(known, f.Name)
	}
	var out []column
	var wrong []string
	for i, head := range t.Header {
		name, unitText := splitHead(unguarded(head))
		if name == "" || slices.Contains(ignore, head) || slices.Contains(ignore, name) {
			continue
		}
		c := column{at: i, unit: unitText, field: diary.Field{Name: "id"}}
		if name != "id" {
			f, ok := fieldOf(fields, name)
			if !ok {
				wrong = append(wrong, fmt.Sprintf("“%s” is no field of %s (%s)", head, word.A(string(k)), strings.TrimSuffix(word.Hint(name, known), "?")))
				continue
			}
			c.field = f
			if c.unit == "" {
				c.unit = headUnits[name]
			}
		}
		if twice := slices.IndexFunc(out, func(o column) bool { return o.field.Name == c.field.Name }); twice >= 0 {
			wrong = append(wrong, fmt.Sprintf("“%s” and “%s” both mean %s", t.Header[out[twice].at], head, c.field.Name))
			continue
		}
		out = append(out, c)
	}
	if len(wrong) > 0 {
		return nil, &garden.Error{Kind: garden.Invalid, Field: "columns", Text: strings.Join(wrong, "; "),
			Hint: "rename them, or leave them out with --ignore HEAD"}
	}
	return out, nil
}

// splitHead takes "Mass (kg)" or "mass [kg]" apart.
func splitHead(head string) (name, unitText string) {
	head = strings.TrimSpace(head)
	if i := strings.LastIndexAny(head, "(["); i > 0 && strings.HasSuffix(head, ")") || i > 0 && strings.HasSuffix(head, "]") {
		head, unitText = head[:i], strings.TrimSpace(head[i+1:len(head)-1])
	}
	return strings.NewReplacer(" ", "-", "_", "-").Replace(garden.Fold(head)), unitText
}

func fieldOf(fields []diary.Field, name string) (diary.Field, bool) {
	if other, ok := otherHeads[name]; ok && !slices.ContainsFunc(fields, func(f diary.Field) bool { return f.Name == name }) {
		name = other
	}
	i := slices.IndexFunc(fields, func(f diary.Field) bool { return f.Name == name })
	if i < 0 {
		return diary.Field{}, false
	}
	return fields[i], true
}

// checkMarks asks about columns whose commas or points may be thousands marks, which no single cell can tell.
func checkMarks(t intake.Table, columns []column) error {
	for _, c := range columns {
		if c.field.Type != diary.Quantity && c.field.Type != diary.Number {
			continue
		}
		if err := unit.Column(t.Column(c.at)); err != nil {
			return &garden.Error{Kind: garden.Ambiguous, Field: "column " + t.Header[c.at], Text: err.Error(),
				Hint: "if they are decimal marks, say --decimal-marks", Cause: err}
		}
	}
	return nil
}

// fieldsOf gives the fields of one row.
func fieldsOf(t intake.Table, columns []column, row []string) map[string]string {
	out := make(map[string]string, len(columns))
	for _, c := range columns {
		cell := unguarded(row[c.at])
		switch {
		case cell == "":
		case c.field.Type == diary.Day:
			cell = t.Day(cell)
		case c.unit != "" && bare(cell):
			cell += " " + c.unit
		}
		out[c.field.Name] = cell
	}
	return out
}

// bare reports whether the cell is a number without a unit.
func bare(cell string) bool {
	return strings.Trim(cell, "0123456789.,+-−eE") == "" && strings.ContainsAny(cell, "0123456789")
}
