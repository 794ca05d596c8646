package cli

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"github.com/spf13/cobra"
)

// table is a result: rows of cells under a head, and the same as values for JSON.
type table struct {
	head []string
	rows [][]string
	// values are the rows as JSON shows them; if nil, objects of head and cells.
	values []json.RawMessage
}

// format is how a result is printed.
type format struct{ json, csv bool }

func (f *format) flags(c *cobra.Command) {
	c.Flags().BoolVar(&f.json, "json", false, "print JSON")
	c.Flags().BoolVar(&f.csv, "csv", false, "print CSV")
	c.MarkFlagsMutuallyExclusive("json", "csv")
}

// print writes the result on standard output.
func (a *app) print(t table, f format) error {
	switch {
	case f.json:
		return t.writeJSON(a.env.Stdout)
	case f.csv:
		return t.writeCSV(a.env.Stdout)
	}
	return t.writeText(a.env.Stdout)
}

func (t table) writeJSON(w io.Writer) error {
	values := t.values
	if values == nil {
		values = []json.RawMessage{}
		for _, row := range t.rows {
			values = append(values, object(t.head, row))
		}
	}
	out, err := json.MarshalIndent(values, "", "  ")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%s\n", out)
	return err
}

// object keeps the order of the columns, which a map would lose.
func object(head, row []string) json.RawMessage {
	var b strings.Builder
	b.WriteByte('{')
	for i, h := range head {
		if i > 0 {
			b.WriteByte(',')
		}
		name, _ := json.Marshal(h)
		cell, _ := json.Marshal(row[i])
		b.Write(name)
		b.WriteByte(':')
		b.Write(cell)
	}
	b.WriteByte('}')
	return json.RawMessage(b.String())
}

func (t table) writeCSV(w io.Writer) error {
	out := csv.NewWriter(w)
	if err := out.Write(guarded(t.head)); err != nil {
		return err
	}
	for _, row := range t.rows {
		if err := out.Write(guarded(row)); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// writeText lines the columns up; the last one is not padded.
func (t table) writeText(w io.Writer) error {
	if len(t.rows) == 0 {
		return nil
	}
	width := make([]int, len(t.head))
	for _, row := range append([][]string{t.head}, t.rows...) {
		for i, c := range row {
			width[i] = max(width[i], utf8.RuneCountInString(c))
		}
	}
	var b strings.Builder
	for _, row := range append([][]string{t.head}, t.rows...) {
		line := ""
		for i, c := range row {
			line += c + strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2)
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	_, err := io.WriteString(plainly{w}, b.String())
	return err
}

// guarded puts an apostrophe before texts that a spreadsheet would take for a formula. Plain numbers stay as they are, and a text
// that begins so already gets one more, so that unguarded gives back what was there.
func guarded(cells []string) []string {
	out := make([]string, len(cells))
	for i, c := range cells {
		if dangerous(c) && !number(c) {
			c = "'" + c
		}
		out[i] = c
	}
	return out
}

// unguarded takes the apostrophe off again.
func unguarded(cell string) string {
	if rest, ok := strings.CutPrefix(cell, "'"); ok && dangerous(rest) {
		return rest
	}
	return cell
}

func dangerous(s string) bool {
	s = strings.TrimLeft(s, "'")
	return s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0]))
}

func number(s string) bool {
	s = strings.TrimPrefix(s, "-")
	return s != "" && strings.Trim(s, "0123456789.") == "" && strings.Count(s, ".") <= 1
}
