package web

import (
	"crypto/sha256"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// crates are the columns for weights on a sheet.
const crates = 3

// gridPage is a paper sheet typed in: the same rows in the same order under the same heads.
type gridPage struct {
	Page
	Number string
	Rows   []gridRow
	Faults []fault
	Sum    string
	Date   string
	Tare   string
	Paper  string
}

type gridRow struct {
	N         int
	Name      string
	Free      bool
	Cells     []gridCell
	Count     gridCell
	Note      gridCell
	Bed, Crop gridCell
}

type gridCell struct {
	ID, Head, Value string
	Wrong           bool
}

// fault is one thing to put right, with the place it is at.
type fault struct{ At, Says string }

// typed is one sheet as it came back from the form.
type typed struct {
	sheet  sheetOf
	number string
	form   url.Values
	faults []fault
	sum    float64
	tare   float64
	date   civil.Date
}

func (s *Server) grid(w http.ResponseWriter, r *http.Request) error {
	sh, err := s.findSheet(r.Context(), r.PathValue("number"))
	if err != nil {
		return err
	}
	t := &typed{sheet: sh, number: fmt.Sprintf("%04d", sh.Number), form: url.Values{"date": {sh.Note.Date.String()}}}
	return s.showGrid(w, r, http.StatusOK, t)
}

func (s *Server) showGrid(w http.ResponseWriter, r *http.Request, status int, t *typed) error {
	p := gridPage{Page: s.page("Sheet "+t.number+", to type in", "sheets"), Number: t.number, Faults: t.faults,
		Date: t.form.Get("date"), Tare: t.form.Get("tare"), Paper: t.form.Get("sum")}
	p.Amiss, p.Script = len(t.faults) > 0, "grid.js"
	if t.sum > 0 {
		p.Sum = fmt.Sprintf("%.3f", t.sum)
	}
	for i := range len(t.sheet.Rows) + freeRows {
		p.Rows = append(p.Rows, t.row(i))
	}
	return s.render(w, r, status, "grid", p)
}

func (t *typed) cell(id, head string) gridCell {
	c := gridCell{ID: id, Head: head, Value: t.form.Get(id)}
	for _, f := range t.faults {
		c.Wrong = c.Wrong || f.At == id
	}
	return c
}

func (t *typed) row(i int) gridRow {
	n := i + 1
	out := gridRow{N: n, Free: i >= len(t.sheet.Rows), Count: t.cell(fmt.Sprintf("n%d", n), "count"), Note: t.cell(fmt.Sprintf("note%d", n), "remark")}
	for c := 1; c <= crates; c++ {
		out.Cells = append(out.Cells, t.cell(fmt.Sprintf("kg%d-%d", n, c), fmt.Sprintf("crate %d, kg", c)))
	}
	if out.Free {
		out.Bed, out.Crop = t.cell(fmt.Sprintf("bed%d", n), "bed"), t.cell(fmt.Sprintf("crop%d", n), "crop")
	} else {
		out.Name = strings.TrimSpace(t.sheet.Rows[i].Bed + " " + t.sheet.Rows[i].Crop)
	}
	return out
}

// plainNumber is a number as it is typed among the beds: one comma or point at most, no thousands mark.
var plainNumber = regexp.MustCompile(`^\d{1,6}([.,]\d{1,3})?$`)

// kilos reads one cell; a fault is noted where it stands.
func (t *typed) kilos(id, where string) (float64, bool) {
	text := strings.TrimSpace(t.form.Get(id))
	if text == "" {
		return 0, false
	}
	if !plainNumber.MatchString(text) {
		says := "is no number; write figures, such as 1.250"
		if strings.Count(text, ",")+strings.Count(text, ".") > 1 {
			says = "has more than one mark; a number has one comma or point at most"
		}
		t.faults = append(t.faults, fault{id, fmt.Sprintf("%s: “%s” %s", where, text, says)})
		return 0, false
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	return v, err == nil
}

// gridSent checks a typed sheet against its own sum and keeps it. The ids of its entries follow from the sheet, the row and the column, so that a form
// sent twice, or a sheet typed in by two people, is kept once.
func (s *Server) gridSent(w http.ResponseWriter, r *http.Request) error {
	if err := readForm(r); err != nil {
		return err
	}
	sh, err := s.findSheet(r.Context(), r.PathValue("number"))
	if err != nil {
		return err
	}
	t := &typed{sheet: sh, number: fmt.Sprintf("%04d", sh.Number), form: r.PostForm}
	written, err := t.entries()
	if err != nil {
		return err
	}
	t.checkSum()
	if len(written) == 0 && len(t.faults) == 0 {
		t.faults = append(t.faults, fault{"kg1-1", "Nothing is written in it yet"})
	}
	if len(t.faults) > 0 {
		return s.showGrid(w, r, http.StatusUnprocessableEntity, t)
	}
	got, err := s.Take(r.Context(), written, s.device(r))
	if err != nil {
		return err
	}
	for i, g := range got {
		if g.Is == isRefused {
			t.faults = append(t.faults, fault{"top", fmt.Sprintf("Weighing %d: %s", i+1, t.refusal(g))})
		}
	}
	if len(t.faults) > 0 {
		return s.showGrid(w, r, http.StatusUnprocessableEntity, t)
	}
	http.Redirect(w, r, "/diary", http.StatusSeeOther)
	return nil
}

func (t *typed) refusal(g Receipt) string {
	if g.Why == "another entry has this id" {
		return "sheet " + t.number + " was typed in before, with another figure here. Take that line back in the diary and note the right one by itself"
	}
	return g.Why
}

// checkSum compares the rows with the sum on the paper; a difference names itself before anything is saved.
func (t *typed) checkSum() {
	paper, given := t.kilos("sum", "The sheet’s sum")
	if given && math.Abs(paper-t.sum) > 0.0005 {
		t.faults = append(t.faults, fault{"sum", fmt.Sprintf("The sheet’s sum is %.3f; the rows come to %.3f, %.3f apart", paper, t.sum, math.Abs(paper-t.sum))})
	}
}

// entries makes the entries of a typed sheet.
func (t *typed) entries() ([]string, error) {
	var err error
	if t.date, err = civil.Parse(t.form.Get("date")); err != nil {
		t.faults = append(t.faults, fault{"date", "Day: “" + t.form.Get("date") + "” is no day; choose the one on the sheet"})
	}
	t.tare, _ = t.kilos("tare", "Empty crate")
	var out []string
	for i := range len(t.sheet.Rows) + freeRows {
		for c := 1; c <= crates; c++ {
			id := fmt.Sprintf("kg%d-%d", i+1, c)
			kg, given := t.kilos(id, fmt.Sprintf("Row %d, crate %d", i+1, c))
			if !given {
				continue
			}
			t.sum += kg
			e, ok := t.entry(i, c, kg)
			if !ok {
				continue
			}
			written, err := encodeEntry(e)
			if err != nil {
				return nil, err
			}
			out = append(out, written)
		}
	}
	return out, nil
}

func (t *typed) entry(i, c int, kg float64) (Entry, bool) {
	at := fmt.Sprintf("kg%d-%d", i+1, c)
	f := map[string]string{"date": t.date.String(), "round": "sheet " + t.number}
	if !t.whose(i, f) {
		t.faults = append(t.faults, fault{fmt.Sprintf("crop%d", i+1), fmt.Sprintf("Row %d: say which crop it is", i+1)})
		return Entry{}, false
	}
	switch {
	case kg == 0:
		f["nothing"] = "yes"
	case t.tare > 0 && kg < t.tare:
		t.faults = append(t.faults, fault{at, fmt.Sprintf("Row %d, crate %d: %.3f is less than the empty crate", i+1, c, kg)})
		return Entry{}, false
	case t.tare > 0:
		f["gross"], f["tare"], f["weighing"] = fmt.Sprintf("%.3f kg", kg), fmt.Sprintf("%.3f kg", t.tare), "weighed"
	default:
		f["mass"], f["weighing"] = fmt.Sprintf("%.3f kg", kg), "weighed"
	}
	if n := strings.TrimSpace(t.form.Get(fmt.Sprintf("n%d", i+1))); n != "" && c == 1 {
		f["count"] = n
	}
	if note := strings.TrimSpace(t.form.Get(fmt.Sprintf("note%d", i+1))); note != "" && c == 1 {
		f["note"] = note
	}
	return Entry{ID: t.id(at), Kind: garden.KindHarvest, Action: diary.Add, Fields: f}, true
}

// whose says which crop in which bed a row is about.
func (t *typed) whose(i int, f map[string]string) bool {
	if i < len(t.sheet.Rows) {
		row := t.sheet.Rows[i]
		if row.Planting.IsZero() { // it was renamed or removed since: the line on the paper goes to be sorted out
			f["bed"], f["crop"] = "don't know", row.Bed
			return true
		}
		f["planting"] = row.Planting.String()
		return true
	}
	f["bed"], f["crop"] = strings.TrimSpace(t.form.Get(fmt.Sprintf("bed%d", i+1))), strings.TrimSpace(t.form.Get(fmt.Sprintf("crop%d", i+1)))
	if f["bed"] == "" {
		f["bed"] = "don't know"
	}
	return f["crop"] != ""
}

// id follows from the sheet and the cell (RFC 9562, version 8: an id of one's own making).
func (t *typed) id(cell string) garden.ID {
	sum := sha256.Sum256(append(t.sheet.Note.ID[:], cell...))
	var id garden.ID
	copy(id[:], sum[:])
	id[6] = 0x80 | id[6]&0x0f
	id[8] = 0x80 | id[8]&0x3f
	return id
}
