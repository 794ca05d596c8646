package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decode turns bytes into text: UTF-16 by its mark, else UTF-8 if it is valid, else Windows-1252, which old spreadsheets
// write and in which every byte means something.
func decode(name string, data []byte) (text []byte, encoding string, err error) {
	switch {
	case bytes.HasPrefix(data, []byte{0xFF, 0xFE}), bytes.HasPrefix(data, []byte{0xFE, 0xFF}):
		text, err = unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(data)
		encoding = "UTF-16"
	case utf8.Valid(data):
		text, encoding = bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF")), "UTF-8"
	default:
		text, err = charmap.Windows1252.NewDecoder().Bytes(data)
		encoding = "Windows-1252"
	}
	if err != nil {
		return nil, "", refuse(name, "its text cannot be read", "save it as CSV in UTF-8")
	}
	if bytes.IndexByte(text, 0) >= 0 {
		return nil, "", refuse(name, "it is no table of text", "give a CSV or XLSX file")
	}
	return text, encoding, nil
}

func readText(name string, data []byte, o Options) (Table, error) {
	text, encoding, err := decode(name, data)
	if err != nil {
		return Table{}, err
	}
	t := Table{Encoding: encoding, Mark: o.Mark}
	text = oneLineEnd(text)
	skipped := 0
	if line, rest, _ := bytes.Cut(text, []byte("\n")); bytes.HasPrefix(line, []byte("sep=")) && len(line) == 5 {
		if t.Mark == 0 {
			t.Mark = rune(line[4])
		}
		text, skipped = rest, 1
	}
	if t.Mark == 0 {
		t.Mark = sniff(text)
	}
	if err := t.readRows(name, text, skipped); err != nil {
		return Table{}, err
	}
	return t, t.whole(name)
}

func (t *Table) readRows(name string, text []byte, skipped int) error {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.FieldsPerRecord = t.Mark, -1
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		var broken *csv.ParseError
		if errors.As(err, &broken) {
			return refuse(name, fmt.Sprintf("line %d has a quotation mark that does not close, or stands inside a cell", broken.StartLine+skipped),
				`a cell with quotation marks is written "like ""this"""`)
		}
		if err != nil {
			return refuse(name, "it cannot be read to its end", "save it again as CSV")
		}
		line, _ := r.FieldPos(0)
		if err := t.add(cells, line+skipped); err != nil {
			return err
		}
	}
}

// oneLineEnd makes every line end with a newline: old programs end theirs with a carriage return alone.
func oneLineEnd(text []byte) []byte {
	if bytes.IndexByte(text, '\r') < 0 {
		return text
	}
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}

// sniff finds what stands between the columns by the header, in which no decimal comma can mislead.
func sniff(text []byte) rune {
	header := ""
	for header == "" && len(text) > 0 {
		line, rest, _ := bytes.Cut(text, []byte("\n"))
		header, text = strings.TrimSpace(string(line)), rest
	}
	best, most := ',', 0
	for _, mark := range []rune{';', '\t', ',', '|'} {
		if n := outsideQuotes(header, mark); n > most {
			best, most = mark, n
		}
	}
	return best
}

func outsideQuotes(s string, mark rune) int {
	n, quoted := 0, false
	for _, c := range s {
		switch {
		case c == '"':
			quoted = !quoted
		case c == mark && !quoted:
			n++
		}
	}
	return n
}
