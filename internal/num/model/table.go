package model

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Table is rows of plots under named columns. It is a value; nothing here changes it.
type Table struct {
	columns []Column
	rows    int
	lines   []int // of the file; nil where the table never was one
}

// Column is one named column, of text or of numbers.
type Column struct {
	Name  string
	text  []string
	value []float64 // of a column of numbers; text is nil then
}

// Text makes a column of names; "", NA and NaN are missing.
func Text(name string, cells []string) Column { return Column{Name: name, text: cells} }

// Numbers makes a column of numbers; NaN is missing.
func Numbers(name string, values []float64) Column { return Column{Name: name, value: values} }

// Of builds a table from columns of one length. It errs on columns of different length and repeated names.
func Of(columns ...Column) (Table, error) {
	t := Table{columns: columns}
	for i, c := range columns {
		n := max(len(c.text), len(c.value))
		if i == 0 {
			t.rows = n
		}
		if n != t.rows {
			return Table{}, &Error{Column: c.Name, Text: fmt.Sprintf("it has %d cells, the column before it %d", n, t.rows), Hint: "give every column the same number of cells"}
		}
	}
	return t, t.checkNames()
}

// NewTable builds a table from a header and rows of cells with a point as the decimal mark; lines are the lines of the
// file that the rows began on, for messages, and may be nil. Space around cells is dropped. It errs on a repeated
// header and on rows that are not as wide as the header.
func NewTable(header []string, rows [][]string, lines []int) (Table, error) {
	t := Table{rows: len(rows), lines: lines}
	flat := make([]string, len(header)*len(rows))
	for j, name := range header {
		t.columns = append(t.columns, Column{Name: strings.TrimSpace(name), text: flat[j*len(rows) : (j+1)*len(rows) : (j+1)*len(rows)]})
	}
	for i, row := range rows {
		if len(row) != len(header) {
			return Table{}, t.at(i, &Error{Text: fmt.Sprintf("the row has %d cells, the header %d", len(row), len(header)), Hint: "a cell that holds the separator must stand in quotes"})
		}
		for j, cell := range row {
			t.columns[j].text[i] = strings.TrimSpace(cell)
		}
	}
	return t, t.checkNames()
}

func (t Table) checkNames() error {
	seen := make(map[string]int, len(t.columns))
	for j, c := range t.columns {
		if first, twice := seen[c.Name]; twice && c.Name != "" {
			return &Error{Column: c.Name, Text: fmt.Sprintf("columns %d and %d have the same header", first+1, j+1), Hint: "rename one of them"}
		}
		seen[c.Name] = j
	}
	return nil
}

// Rows returns the number of rows.
func (t Table) Rows() int { return t.rows }

// Names returns the names of the columns in their order; unnamed ones are left out.
func (t Table) Names() []string {
	var names []string
	for _, c := range t.columns {
		if c.Name != "" {
			names = append(names, c.Name)
		}
	}
	return names
}

// column finds a column by its exact name.
func (t Table) column(name string) (Column, error) {
	for _, c := range t.columns {
		if c.Name == name && name != "" {
			return c, nil
		}
	}
	return Column{}, noColumn(name, t.Names())
}

// at sets the line or row of an error.
func (t Table) at(i int, e *Error) *Error {
	e.Line, e.Row = i+1, true
	if i < len(t.lines) {
		e.Line, e.Row = t.lines[i], false
	}
	return e
}

// cell returns the text of a cell, "" when it is missing.
func (c Column) cell(i int) string {
	if c.text == nil {
		if math.IsNaN(c.value[i]) {
			return ""
		}
		return strconv.FormatFloat(c.value[i], 'g', -1, 64)
	}
	if Missing(c.text[i]) {
		return ""
	}
	return c.text[i]
}

// number returns a cell as a number; ok is false for a word. A missing cell is NaN.
func (c Column) number(i int) (v float64, ok bool) {
	if c.text == nil {
		return c.value[i], true
	}
	if Missing(c.text[i]) {
		return math.NaN(), true
	}
	return number(c.text[i])
}
