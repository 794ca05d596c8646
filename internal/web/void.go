package web

import (
	"errors"

	"fairplot/internal/garden"
)

// takeBack takes an entry back: all that it became goes in one transaction, or if part of that is in use meanwhile (the bed that was
// made with a first weighing), the entry alone.
func (t *taking) takeBack(e Entry, sum []byte) error {
	target, err := garden.ParseID(e.Target)
	if err != nil || target.IsZero() {
		return t.answer(e, isRefused, "it does not say what is taken back")
	}
	if err := t.flush(); err != nil {
		return err
	}
	family, err := t.family(target)
	if err != nil {
		return err
	}
	if len(family) == 0 {
		return t.answer(e, isLater, "the entry that it takes back has not come yet")
	}
	if family[0].Action == garden.Add {
		if _, there := t.live.index.Get(family[0].Record); !there {
			return t.answer(e, isHad, "it was taken back before")
		}
	}
	is, why, err := t.undoFamily(e, family, sum)
	if err != nil {
		return err
	}
	return t.answer(e, is, why)
}

// family returns the operations that an entry became, the entry's own first, those that it needed last.
func (t *taking) family(target garden.ID) ([]garden.Operation, error) {
	var out []garden.Operation
	for n := 0; ; n++ {
		op, had, err := t.Book.Had(t.ctx, sibling(target, n))
		if err != nil || !had {
			return out, err
		}
		out = append(out, op)
	}
}

func (t *taking) undoFamily(e Entry, family []garden.Operation, sum []byte) (is, why string, err error) {
	for _, some := range [][]garden.Operation{family, ofKind(family, family[0].Kind)} {
		if some[0].Action != garden.Add {
			break
		}
		if _, err := t.Book.Keep(t.ctx, t.removals(e, some, sum)); err == nil {
			return isNew, "", t.behind()
		} else if !refusedKind(err) {
			return "", "", err
		}
	}
	by := garden.Operation{ID: e.ID, Made: t.madeAt(e), Device: t.from, Sent: sum}
	if _, err := t.Book.Undo(t.ctx, family[0].ID, by); err != nil {
		var known *garden.Error
		if refusedKind(err) && errors.As(err, &known) {
			return isRefused, known.Text, nil
		}
		return "", "", err
	}
	return isNew, "", t.behind()
}

func ofKind(ops []garden.Operation, k garden.Kind) []garden.Operation {
	var out []garden.Operation
	for _, op := range ops {
		if op.Kind == k {
			out = append(out, op)
		}
	}
	return out
}

// removals are the operations that undo additions nobody has changed since.
func (t *taking) removals(e Entry, adds []garden.Operation, sum []byte) []garden.Operation {
	out := make([]garden.Operation, len(adds))
	for i, a := range adds {
		base := 1
		if rec, there := t.live.index.Get(a.Record); there && a.Kind == garden.KindNote {
			base = rec.Revision() // a picture that came later goes with its note
		}
		out[i] = garden.Operation{ID: sibling(e.ID, i), Action: garden.Remove, Kind: a.Kind, Record: a.Record, Base: base, Undoes: a.ID, Made: t.madeAt(e), Device: t.from}
	}
	out[0].Sent = sum
	return out
}

// behind brings the index up with what the book has undone.
func (t *taking) behind() error {
	version, err := t.Book.Version(t.ctx)
	if err != nil {
		return err
	}
	return t.catchUp(t.ctx, version)
}
