// Package intake reads what others wrote: tables of text and spreadsheets, and the files that weather comes in. It knows
// encodings, marks and limits, and leaves out what a table is about and where it goes.
package intake

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// Limits on what is taken in as one table: far above any garden, far below what stops a small computer.
const (
	maxRows    = 500_000
	maxColumns = 200
	maxBytes   = 256 << 20
)

// Table is what a file of rows and columns holds. Rows are padded to the width of the header, unless they are wider.
type Table struct {
	Header   []string
	Rows     [][]string
	Lines    []int  // the line of the file, or row of the sheet, that each row began on
	Encoding string // what the bytes turned out to be: UTF-8, UTF-16, Windows-1252, XLSX
	Mark     rune   // what stood between the columns, 0 in a spreadsheet

	from1904 bool
}

// Options settle what a file cannot say of itself.
type Options struct {
	Mark  rune   // between columns; 0 looks at the header
	Sheet string // of a spreadsheet; "" is the first that holds anything
}

// ReadTable takes in a CSV, tab-separated or XLSX file; name is used in messages alone. Errors are *garden.Error.
func ReadTable(name string, data []byte, o Options) (Table, error) {
	switch {
	case len(data) > maxBytes:
		return Table{}, refuse(name, fmt.Sprintf("the file has more than %d MB", maxBytes>>20), "split it into parts")
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return readSheet(name, data, o)
	case bytes.HasPrefix(data, []byte{0xD0, 0xCF, 0x11, 0xE0}):
		return Table{}, refuse(name, "it is a spreadsheet of the old kind (.xls)", "save it as .xlsx or as CSV")
	case bytes.HasPrefix(data, []byte("SQLite format 3\x00")):
		return Table{}, refuse(name, "it is a database, not a table", "open a book with --book instead")
	}
	return readText(name, data, o)
}

// Day gives the ISO date of a cell that a spreadsheet keeps as a count of days; other cells come back as they are.
func (t Table) Day(cell string) string {
	if t.Mark != 0 {
		return cell
	}
	serial, err := strconv.ParseFloat(cell, 64)
	if err != nil || serial < 1 || serial > 2_958_465 {
		return cell
	}
	// Serial 1 is 1 January 1900, but the format counts a 29 February 1900 that never was, so from March 1900 on the count
	// starts at 30 December 1899 (ECMA-376 part 1, 18.17.4.1).
	epoch := civil.Of(1899, 12, 30)
	if t.from1904 {
		epoch = civil.Of(1904, 1, 1)
	}
	return epoch.AddDays(int(serial)).String()
}

// Column returns the cells of a column, the header left out.
func (t Table) Column(i int) []string {
	out := make([]string, 0, len(t.Rows))
	for _, row := range t.Rows {
		if i < len(row) {
			out = append(out, row[i])
		}
	}
	return out
}

// add takes a row into the table, unless it is empty.
func (t *Table) add(cells []string, line int) error {
	last := -1
	for i, c := range cells {
		cells[i] = strings.TrimSpace(c)
		if cells[i] != "" {
			last = i
		}
	}
	if last < 0 {
		return nil
	}
	if t.Header == nil {
		t.Header = cells[:last+1]
		if last >= maxColumns {
			return refuse("", fmt.Sprintf("it has %d columns", last+1), fmt.Sprintf("at most %d are read: is this the right file?", maxColumns))
		}
		return nil
	}
	if len(t.Rows) >= maxRows {
		return refuse("", fmt.Sprintf("it has more than %d rows", maxRows), "split it into parts")
	}
	for len(cells) < len(t.Header) {
		cells = append(cells, "")
	}
	t.Rows = append(t.Rows, cells[:max(last+1, len(t.Header))])
	t.Lines = append(t.Lines, line)
	return nil
}

func (t *Table) whole(name string) error {
	if t.Header == nil {
		return refuse(name, "it is empty", "the first line names the columns, each further line is one entry")
	}
	return nil
}

func refuse(name, text, hint string) error {
	return &garden.Error{Kind: garden.Invalid, Field: name, Text: text, Hint: hint}
}
