package model

import (
	"fmt"
	"strings"
)

// Error is a sentence about a table or a formula: what is wrong, where, and how to mend it.
type Error struct {
	Line    int    // of the file, or row of the table where Row is set; 0: not about one row
	Row     bool   // the table was built in memory: Line counts its rows from 1
	Column  string // "" when it is about none
	Formula string // what the formula is for: "treatments", "blocks", "compare"; "" when it is about none
	At      int    // character of the formula, counted from 1; 0 when it is about the whole
	Text    string // what is wrong, without a final stop
	Hint    string // what to do about it
}

// Error returns place, text and hint as one line.
func (e *Error) Error() string {
	var place []string
	if e.Line > 0 {
		word := "line"
		if e.Row {
			word = "row"
		}
		place = append(place, fmt.Sprintf("%s %d", word, e.Line))
	}
	if e.Column != "" {
		place = append(place, "column "+e.Column)
	}
	if e.Formula != "" {
		place = append(place, e.Formula)
	}
	if e.At > 0 {
		place = append(place, fmt.Sprintf("character %d", e.At))
	}
	s := e.Text
	if len(place) > 0 {
		s = strings.Join(place, ", ") + ": " + s
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// noColumn says that a name is not in the table, with the nearest names that are.
func noColumn(name string, columns []string) *Error {
	e := &Error{Text: fmt.Sprintf("there is no column %q", name)}
	if near := nearest(name, columns); near != "" {
		e.Hint = fmt.Sprintf("did you mean %s?", near)
	} else {
		e.Hint = "the columns are " + list(columns, 12)
	}
	return e
}

// list joins names for a sentence, the first most of them.
func list(names []string, most int) string {
	if len(names) > most {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", len(names)-most)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
