package cli

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

// selection is which records of a kind are meant.
type selection struct{ from, to, bed, crop string }

func (sel *selection) flags(a *app, c *cobra.Command) {
	c.Flags().StringVar(&sel.from, "from", "", "from this day on")
	c.Flags().StringVar(&sel.to, "to", "", "up to this day")
	c.Flags().StringVar(&sel.bed, "bed", "", "only what belongs to these beds, such as terrace/4 or terrace")
	c.Flags().StringVar(&sel.crop, "crop", "", "only what belongs to this crop")
	for _, f := range []diary.Field{{Name: "bed", Type: diary.BedsType}, {Name: "crop", Type: diary.CropType}} {
		if err := c.RegisterFlagCompletionFunc(f.Name, a.completeField(f)); err != nil {
			panic(err)
		}
	}
}

func listCommand(a *app, k garden.Kind) *cobra.Command {
	var sel selection
	var f format
	c := &cobra.Command{
		Use: "list", Short: "list what is noted", Args: exactly(),
		Example: fmt.Sprintf("  fairplot %s list\n  fairplot %s list --csv", k, k),
		RunE: func(*cobra.Command, []string) error {
			s, list, err := a.pick(k, sel)
			if err != nil {
				return err
			}
			if len(list) == 0 && !f.json && !f.csv {
				a.words("none are noted")
			}
			t, err := tableOf(s, k, list, f)
			if err != nil {
				return err
			}
			return a.print(t, f)
		},
	}
	sel.flags(a, c)
	f.flags(c)
	return c
}

// pick reads the records of the kind that the selection means.
func (a *app) pick(k garden.Kind, sel selection) (*session, []garden.Record, error) {
	want := garden.Want{Kinds: diary.Needs(k)}
	s, err := a.read(want)
	if err != nil {
		return nil, nil, err
	}
	from, to, err := sel.span(s)
	if err != nil {
		return nil, nil, err
	}
	beds, err := sel.beds(a, s)
	if err != nil {
		return nil, nil, err
	}
	var out []garden.Record
	for _, rec := range s.records.List(k) {
		day := rec.Day()
		if !from.IsZero() && day.Before(from) || !to.IsZero() && day.After(to) {
			continue
		}
		if sel.bed != "" && !meet(diary.BedsOf(s.x, rec), beds) || sel.crop != "" && garden.Fold(diary.CropOf(s.x, rec)) != garden.Fold(sel.crop) {
			continue
		}
		out = append(out, rec)
	}
	return s, out, nil
}

func (sel selection) span(s *session) (from, to civil.Date, err error) {
	dates := diary.Dates(s.records, s.today)
	for _, one := range []struct {
		name, text string
		day        *civil.Date
	}{{"from", sel.from, &from}, {"to", sel.to, &to}} {
		if one.text == "" {
			continue
		}
		d, err := dates.Date(one.text)
		if err != nil {
			return from, to, &garden.Error{Kind: garden.Invalid, Field: one.name, Text: err.Error(), Cause: err}
		}
		*one.day = d
	}
	return from, to, nil
}

func (sel selection) beds(a *app, s *session) ([]garden.BedID, error) {
	if sel.bed == "" {
		return nil, nil
	}
	c, err := a.context(s)
	if err != nil {
		return nil, err
	}
	c.Asks = false
	return diary.Beds(c, sel.bed)
}

func meet(a, b []garden.BedID) bool {
	return slices.ContainsFunc(a, func(id garden.BedID) bool { return slices.Contains(b, id) })
}

// tableOf lists records in the format asked for: a few columns for people, all of them exactly for files, whole bodies for JSON.
func tableOf(s *session, k garden.Kind, list []garden.Record, f format) (table, error) {
	fields := diary.Fields(k)
	switch {
	case f.json:
		return valuesOf(s, list)
	case f.csv:
		return exactTable(s, fields, list), nil
	}
	t := table{head: []string{"id"}, rows: [][]string{}}
	for _, f := range fields {
		if f.Brief && !f.Typed {
			t.head = append(t.head, f.Name)
		}
	}
	w := s.writing()
	for _, rec := range list {
		row := []string{diary.Short(rec.Identity())}
		for i, cell := range diary.Cells(w, rec) {
			if fields[i].Brief && !fields[i].Typed {
				row = append(row, oneLine(cell))
			}
		}
		t.rows = append(t.rows, row)
	}
	return t, nil
}

// exactTable is what an import reads back as the same records.
func exactTable(s *session, fields []diary.Field, list []garden.Record) table {
	t := table{head: exactHead(fields), rows: [][]string{}}
	w := &diary.Writing{Records: s.x, Units: s.units, Exact: true}
	for _, rec := range list {
		t.rows = append(t.rows, exactRow(w, fields, rec))
	}
	return t
}

func valuesOf(s *session, list []garden.Record) (table, error) {
	t := table{values: []json.RawMessage{}}
	w := s.writing()
	for _, rec := range list {
		value, err := valueOf(w, rec)
		if err != nil {
			return t, err
		}
		t.values = append(t.values, value)
	}
	return t, nil
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// exactHead names the columns of a file: the id, then every field with the unit its bare numbers stand in.
func exactHead(fields []diary.Field) []string {
	out := []string{"id"}
	for _, f := range fields {
		if f.Typed {
			continue
		}
		if f.Unit != "" {
			out = append(out, f.Name+" ("+f.Unit+")")
			continue
		}
		out = append(out, f.Name)
	}
	return out
}

func exactRow(w *diary.Writing, fields []diary.Field, rec garden.Record) []string {
	row := []string{rec.Identity().String()}
	for i, cell := range diary.Cells(w, rec) {
		if !fields[i].Typed {
			row = append(row, cell)
		}
	}
	return row
}

// valueOf is a record as JSON: id, revision and what it goes by, then its body in SI units.
func valueOf(w *diary.Writing, rec garden.Record) (json.RawMessage, error) {
	body, err := garden.Encode(rec)
	if err != nil {
		return nil, err
	}
	head, err := json.Marshal(struct {
		ID       garden.ID `json:"id"`
		Revision int       `json:"revision"`
		Says     string    `json:"says"`
	}{rec.Identity(), rec.Revision(), diary.NameOf(w, rec)})
	if err != nil {
		return nil, err
	}
	if len(body) > 2 {
		head = append(head[:len(head)-1], ',')
		head = append(head, body[1:]...)
	}
	return head, nil
}

func showCommand(a *app, k garden.Kind) *cobra.Command {
	var f format
	c := &cobra.Command{
		Use: "show NAME", Short: "show all that is noted of one", Args: exactly("NAME"), ValidArgsFunction: a.completeTargets(k),
		Example: fmt.Sprintf("  fairplot %s show %s", k, targetExample(k)),
		RunE: func(_ *cobra.Command, args []string) error {
			s, err := a.read(garden.Want{Kinds: diary.Needs(k)})
			if err != nil {
				return err
			}
			rec, err := a.find(s, k, args[0])
			if err != nil {
				return err
			}
			return a.show(s, rec, f)
		},
	}
	f.flags(c)
	return c
}

// find looks up one record; where a name fits several, they are listed.
func (a *app) find(s *session, k garden.Kind, name string) (garden.Record, error) {
	c, err := a.context(s)
	if err != nil {
		return nil, err
	}
	rec, questions, err := diary.Find(c, k, name)
	if err != nil {
		return nil, err
	}
	if len(questions) > 0 {
		return nil, a.unanswered(diary.Draft{Action: "show", Kind: k}, questions)
	}
	return rec, nil
}

func (a *app) show(s *session, rec garden.Record, f format) error {
	if f.csv || f.json {
		t, err := tableOf(s, rec.Kind(), []garden.Record{rec}, f)
		if err != nil {
			return err
		}
		return a.print(t, f)
	}
	t := table{head: []string{"field", "text"}, rows: [][]string{{"id", rec.Identity().String()}}}
	fields := diary.Fields(rec.Kind())
	for i, cell := range diary.Cells(s.writing(), rec) {
		if cell != "" {
			t.rows = append(t.rows, []string{fields[i].Name, oneLine(cell)})
		}
	}
	if rec.Kind() == garden.KindPlanting {
		why, err := a.whyPlanting(s, rec.(garden.Planting))
		if err != nil {
			return err
		}
		t.rows = append(t.rows, []string{"", "What it counts as in a comparison, and why:"})
		t.rows = append(t.rows, why...)
	}
	return a.print(t, f)
}
