package cli

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/diary"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

func historyCommand(a *app) *cobra.Command {
	var f format
	var kind, name string
	limit := 20
	c := &cobra.Command{
		Use: "history", Short: "show what was changed, the newest first", GroupID: groupBook, Args: exactly(),
		Example: "  fairplot history\n  fairplot history --of planting --name 'terrace/4 parsnip'",
		RunE: func(*cobra.Command, []string) error {
			if limit < 0 {
				return &usageError{text: fmt.Sprintf("there are no %d changes; --last takes a count, 0 for all of them", limit)}
			}
			look := book.Look{Limit: limit}
			s, err := a.read(garden.Want{})
			if err != nil {
				return err
			}
			if (kind == "") != (name == "") {
				return &usageError{text: "history of one record needs both --of KIND and --name NAME"}
			}
			if kind != "" {
				rec, err := a.find(s, garden.Kind(kind), name)
				if err != nil {
					return err
				}
				look.Record = rec.Identity()
			}
			past, err := s.book.History(a.ctx, look)
			if err != nil {
				return err
			}
			return a.print(historyTable(s, past), f)
		},
	}
	c.Flags().StringVar(&kind, "of", "", "the kind of record, such as planting")
	c.Flags().StringVar(&name, "name", "", "the record's name or id")
	c.Flags().IntVar(&limit, "last", limit, "how many changes; 0 is all")
	f.flags(c)
	return c
}

func historyTable(s *session, past []garden.Past) table {
	t := table{head: []string{"change", "noted", "by", "what", "record"}, rows: [][]string{}}
	for _, p := range past {
		t.rows = append(t.rows, []string{
			diary.Short(p.Operation.ID), p.Operation.Made.UTC().Format("2006-01-02 15:04"), s.person(p.Operation.Person), whatDone(p), s.saysOf(p),
		})
	}
	return t
}

func (s *session) person(id garden.PersonID) string {
	p, _ := garden.Find(s.x, id)
	return p.Name
}

func whatDone(p garden.Past) string {
	what := string(p.Operation.Action)
	if !p.Operation.Undoes.IsZero() {
		what = "undo"
	}
	return what + " " + string(p.Operation.Kind)
}

// saysOf tells the record after the change, or before it if it is gone.
func (s *session) saysOf(p garden.Past) string {
	rec := p.After
	if rec == nil {
		rec = p.Before
	}
	if rec == nil {
		return ""
	}
	return diary.Says(s.writing(), rec)
}

// undoCommand takes back the last entry, or one change. An entry that made several records (a first weighing makes its
// garden, bed and crop) is taken back whole.
func undoCommand(a *app) *cobra.Command {
	whole := false
	c := &cobra.Command{
		Use: "undo [CHANGE]", Short: "take back the last entry, or one change of the history", GroupID: groupBook, Args: between(0, "CHANGE"),
		Example: "  fairplot undo\n  fairplot undo 4b1c2d3e",
		RunE: func(_ *cobra.Command, args []string) error {
			s, err := a.read(garden.Want{})
			if err != nil {
				return err
			}
			// An entry too large to undo unasked is seen from its first changes.
			look := book.Look{Limit: 4 * mostAtOnce}
			if whole || len(args) == 1 {
				look.Limit = 0
			}
			past, err := s.book.History(a.ctx, look)
			if err != nil {
				return err
			}
			if len(args) == 1 {
				return a.undoOne(s, past, args[0])
			}
			return a.undoLast(s, past, whole)
		},
	}
	c.Flags().BoolVar(&whole, "whole", false, "also take back an entry of very many changes, such as an import")
	return c
}

func (a *app) undoOne(s *session, past []garden.Past, name string) error {
	for _, p := range past {
		if id := p.Operation.ID.String(); id == name || len(name) >= 8 && strings.HasSuffix(id, name) {
			return a.undo(s, []garden.Past{p})
		}
	}
	return &garden.Error{Kind: garden.Missing, Text: "the book has no change " + name, Hint: "look it up with: fairplot history"}
}

// mostAtOnce is how many changes an undo takes back without being told that so many are meant.
const mostAtOnce = 100

func (a *app) undoLast(s *session, past []garden.Past, whole bool) error {
	entry := lastEntry(past)
	if len(entry) == 0 {
		return &garden.Error{Kind: garden.Missing, Text: "there is nothing left to undo"}
	}
	if len(entry) > mostAtOnce && !whole {
		return &garden.Error{Kind: garden.Refused, Text: fmt.Sprintf("the last entry made more than %d changes", mostAtOnce), Hint: "say fairplot undo --whole if all of them are meant"}
	}
	return a.undo(s, entry)
}

// lastEntry gives the newest changes that were made at one instant by one hand and stand as they were made, the newest first. The undo
// of an undo makes something anew and is an entry itself.
func lastEntry(past []garden.Past) []garden.Past {
	undoes := map[garden.ID]garden.ID{}
	for _, p := range past {
		undoes[p.Operation.ID] = p.Operation.Undoes
	}
	settled := map[garden.ID]bool{} // by a later undo, of them or of what undid them
	var out []garden.Past
	var made time.Time
	for _, p := range past {
		op := p.Operation
		if settled[op.ID] {
			continue
		}
		makes := true
		for id := op.Undoes; !id.IsZero(); id = undoes[id] {
			settled[id], makes = true, !makes
		}
		if !makes {
			continue
		}
		if len(out) > 0 && (!op.Made.Equal(made) || op.Person != out[0].Operation.Person || op.Device != out[0].Operation.Device) {
			break
		}
		out, made = append(out, p), op.Made
	}
	return out
}

// undo takes back changes, the newest first, all of them or none.
func (a *app) undo(s *session, entry []garden.Past) error {
	ids := make([]garden.ID, len(entry))
	for i, p := range entry {
		ids[i] = p.Operation.ID
	}
	made := a.env.Now()
	err := s.book.UndoAll(a.ctx, ids, func() garden.Operation { return garden.Operation{ID: a.newID(), Made: made} })
	var depends *book.Depends
	if errors.As(err, &depends) {
		a.words("these changes came after it and depend on it:")
		for _, later := range depends.Later {
			a.words("  %s  %s  %s", diary.Short(later.Operation.ID), whatDone(later), s.saysOf(later))
		}
	}
	if err != nil {
		return err
	}
	for _, p := range entry[:min(len(entry), mostShown)] {
		a.words("undone: %s, %s", whatDone(p), s.saysOf(p))
	}
	if rest := len(entry) - mostShown; rest > 0 {
		a.words("and %s", counted(rest, "more change"))
	}
	return nil
}
