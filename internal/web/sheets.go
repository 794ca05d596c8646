package web

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// A paper sheet is a list of crops in beds in walking order, under a number. It is kept as a note of the diary that says what was printed, so
// that the rows typed in weeks later are those on the paper whatever was sown meanwhile.
type sheetOf struct {
	Number int
	Note   garden.Note
	Rows   []sheetRow
}

// sheetRow is one printed row: its short name as printed, and the planting that goes by it.
type sheetRow struct {
	N         int
	Bed, Crop string
	Planting  garden.PlantingID
	First     bool // of its garden: a heavier line above
}

// sheetHead begins the note of a sheet.
const sheetHead = "Sheet %04d for a weighing round, printed %s"

// freeRows are the empty rows at the foot of a sheet.
const freeRows = 6

// sheetsPage lists sheets and prints new ones.
type sheetsPage struct {
	Page
	Gardens []string
	Sheets  []sheetLine
}

type sheetLine struct {
	Number, Says string
}

func (s *Server) sheets(w http.ResponseWriter, r *http.Request) error {
	p := sheetsPage{Page: s.page("Sheets", "sheets")}
	err := s.look(r.Context(), func(l *live) error {
		p.Gardens = l.index.Names(garden.KindGarden)
		for _, sh := range l.sheets() {
			p.Sheets = append(p.Sheets, sheetLine{fmt.Sprintf("%04d", sh.Number), fmt.Sprintf("%s, %s", short(sh.Note.Date), count(len(sh.Rows), "row"))})
		}
		slices.Reverse(p.Sheets)
		return nil
	})
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "sheets", p)
}

// newSheet keeps the rows of a new sheet and shows it.
func (s *Server) newSheet(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	number := 1
	var note garden.Note
	err := s.look(r.Context(), func(l *live) error {
		for _, sh := range l.sheets() {
			number = max(number, sh.Number+1)
		}
		rows := l.rowsNow(r.PostForm.Get("garden"))
		if len(rows) == 0 {
			return &garden.Error{Kind: garden.Refused, Text: "nothing stands there that could be weighed", Hint: "note a sowing first, or choose another garden"}
		}
		note = garden.Note{ID: garden.Ref[garden.Note](s.NewID()), Date: s.day(), Text: sheetText(number, s.day(), rows)}
		return nil
	})
	if err != nil {
		return err
	}
	if err := s.keepRecord(r.Context(), garden.Add, note); err != nil {
		return err
	}
	http.Redirect(w, r, fmt.Sprintf("/sheets/%04d", number), http.StatusSeeOther)
	return nil
}

func sheetText(number int, day civil.Date, rows []string) string {
	return fmt.Sprintf(sheetHead, number, short(day)) + "\n" + strings.Join(rows, "\n")
}

// rowsNow names what stands now, in walking order; of one garden, or of all.
func (l *live) rowsNow(only string) []string {
	var out []string
	for _, b := range l.walk().Beds {
		id, _ := garden.ParseID(b.ID)
		bed, _ := garden.Find(l.index, garden.BedID(id))
		if g, _ := garden.Find(l.index, bed.Garden); only != "" && g.Name != only {
			continue
		}
		for _, p := range l.index.PlantingsIn(bed.ID) {
			if p.Ended.IsZero() {
				out = append(out, l.index.PlantingName(p.ID))
			}
		}
	}
	return out
}

// sheets reads the sheets out of the notes, by number.
func (l *live) sheets() []sheetOf {
	var out []sheetOf
	names := map[string]garden.PlantingID{}
	for _, id := range l.index.All(garden.KindNote) {
		n, _ := garden.Find(l.index, garden.Ref[garden.Note](id))
		head, rest, _ := strings.Cut(n.Text, "\n")
		var number int
		if _, err := fmt.Sscanf(head, "Sheet %d for a weighing round", &number); err != nil {
			continue
		}
		if len(names) == 0 {
			for _, pid := range l.index.All(garden.KindPlanting) {
				names[l.index.PlantingName(garden.PlantingID(pid))] = garden.PlantingID(pid)
			}
		}
		out = append(out, sheetOf{Number: number, Note: n, Rows: l.sheetRows(rest, names)})
	}
	slices.SortFunc(out, func(a, b sheetOf) int { return a.Number - b.Number })
	return out
}

func (l *live) sheetRows(text string, names map[string]garden.PlantingID) []sheetRow {
	var out []sheetRow
	last := ""
	for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
		row := sheetRow{N: i + 1, Planting: names[line], Bed: line}
		if p, ok := garden.Find(l.index, row.Planting); ok {
			row.Bed, row.Crop = l.index.BedName(p.Bed), p.Crop
		}
		g, _, _ := strings.Cut(row.Bed, "/")
		row.First = i > 0 && g != last
		last = g
		out = append(out, row)
	}
	return out
}

// findSheet returns the sheet of the number in the address.
func (s *Server) findSheet(ctx context.Context, text string) (sheetOf, error) {
	n, err := strconv.Atoi(text)
	var out sheetOf
	if err == nil {
		err = s.look(ctx, func(l *live) error {
			for _, sh := range l.sheets() {
				if sh.Number == n {
					out = sh
				}
			}
			return nil
		})
		if err != nil {
			return out, err
		}
	}
	if out.Number == 0 {
		return out, &garden.Error{Kind: garden.Missing, Text: "there is no sheet " + text, Hint: "look at the list of sheets"}
	}
	return out, nil
}

// sheetPage is a sheet to be printed.
type sheetPage struct {
	Page
	Number string
	Rows   []sheetRow
	Free   []int
}

func (s *Server) sheet(w http.ResponseWriter, r *http.Request) error {
	sh, err := s.findSheet(r.Context(), r.PathValue("number"))
	if err != nil {
		return err
	}
	number := fmt.Sprintf("%04d", sh.Number)
	p := sheetPage{Page: s.page("Sheet "+number, "sheets"), Number: number, Rows: sh.Rows}
	for i := range freeRows {
		p.Free = append(p.Free, len(sh.Rows)+i+1)
	}
	return s.render(w, r, http.StatusOK, "sheet", p)
}
