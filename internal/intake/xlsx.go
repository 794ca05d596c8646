package intake

import (
	"bytes"
	"fmt"

	"github.com/xuri/excelize/v2"

	"fairplot/internal/word"
)

// A small file can unpack to gigabytes, and one cell in the last corner makes a million rows; both are capped before anything
// is unpacked or counted.
const (
	unpackedBytes = 256 << 20
	sheetBytes    = 64 << 20
)

func readSheet(name string, data []byte, o Options) (Table, error) {
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{
		UnzipSizeLimit: unpackedBytes, UnzipXMLSizeLimit: sheetBytes, RawCellValue: true,
	})
	if err != nil {
		return Table{}, refuse(name, "it cannot be read as an .xlsx spreadsheet", "open it in a spreadsheet and save it as .xlsx or as CSV")
	}
	defer f.Close()
	sheets := f.GetSheetList()
	if o.Sheet != "" {
		if i, err := f.GetSheetIndex(o.Sheet); err != nil || i < 0 {
			return Table{}, refuse(name, "it has no sheet “"+o.Sheet+"”", word.Hint(o.Sheet, sheets))
		}
		sheets = []string{o.Sheet}
	}
	t := Table{Encoding: "XLSX"}
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		t.from1904 = *props.Date1904
	}
	for _, sheet := range sheets {
		if err := t.readSheetRows(name, f, sheet); err != nil {
			return Table{}, err
		}
		if t.Header != nil {
			break
		}
	}
	return t, t.whole(name)
}

func (t *Table) readSheetRows(name string, f *excelize.File, sheet string) error {
	rows, err := f.Rows(sheet)
	if err != nil {
		return refuse(name, "its sheet “"+sheet+"” cannot be read", "save that sheet as CSV")
	}
	defer rows.Close()
	for line := 1; rows.Next(); line++ {
		if line > maxRows {
			return refuse(name, fmt.Sprintf("it has more than %d rows", maxRows), "is there a stray cell far below? Delete the rows under the table")
		}
		cells, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return refuse(name, fmt.Sprintf("row %d cannot be read", line), "save the sheet as CSV")
		}
		if err := t.add(cells, line); err != nil {
			return err
		}
	}
	if err := rows.Error(); err != nil {
		return refuse(name, "it breaks off in the middle", "save it again, or save it as CSV")
	}
	return nil
}
