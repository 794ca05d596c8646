package book

import (
	"context"
	"fmt"

	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// Depends is the cause of a refused undo: the later changes that build on the one to be undone, oldest first.
type Depends struct{ Later []garden.Past }

// Error says how many they are.
func (d *Depends) Error() string {
	return fmt.Sprintf("%d later changes depend on it", len(d.Later))
}

// Undo takes back the operation with the id by a new operation, for which by gives id, person, device and made. Where
// later changes depend on it, it is refused with an error whose cause is a *Depends.
func (b *Book) Undo(ctx context.Context, id garden.ID, by garden.Operation) (receipt garden.Receipt, err error) {
	err = b.transact(ctx, func(calm context.Context, w *writer) error {
		receipt, err = w.begin(calm, b.options.Now()).undo(id, by)
		return err
	})
	return receipt, err
}

// UndoAll takes back several operations in the order given, all of them or none; by makes a new operation for each, as for Undo.
func (b *Book) UndoAll(ctx context.Context, ids []garden.ID, by func() garden.Operation) error {
	return b.transact(ctx, func(calm context.Context, w *writer) error {
		a := w.begin(calm, b.options.Now())
		for _, id := range ids {
			if err := ctx.Err(); err != nil {
				return err
			}
			if _, err := a.undo(id, by()); err != nil {
				return err
			}
		}
		return nil
	})
}

func (a *application) undo(id garden.ID, by garden.Operation) (garden.Receipt, error) {
	op, err := a.inverse(id, by)
	if err != nil {
		return garden.Receipt{}, err
	}
	receipt, err := a.apply(op)
	if err == nil && (receipt.Outcome == garden.RefusedOut || receipt.Outcome == garden.Clashed) {
		err = &garden.Error{Kind: garden.Refused, Text: "it cannot be undone: " + receipt.Says, Hint: "look at the history of the record"}
	}
	return receipt, err
}

// inverse returns the operation that undoes the one with the id, after looking for what depends on it.
func (a *application) inverse(id garden.ID, by garden.Operation) (garden.Operation, error) {
	found, err := pasts(a.ctx, a.conn, pastColumns+"LEFT JOIN operation p ON p.record = o.record AND p.revision = o.revision - 1 WHERE o.id = ?", id[:])
	if err != nil {
		return by, err
	}
	if len(found) == 0 {
		return by, &garden.Error{Kind: garden.Missing, Text: "the book has no change with this id", Hint: "look it up with: fairplot history"}
	}
	undone := found[0].Operation
	revision, err := a.revisionOf(id)
	if err != nil {
		return by, err
	}
	by.Undoes, by.Kind, by.Record, by.Base = id, undone.Kind, undone.Record, revision
	switch undone.Action {
	case garden.Add:
		by.Action, by.Body = garden.Remove, nil
	case garden.Remove:
		by.Action = garden.Add
	default:
		by.Action = garden.Change
	}
	if by.Action != garden.Remove {
		if by.Body, err = a.at(undone.Record, revision-1); err != nil {
			return by, err
		}
	}
	return by, a.free(undone, by)
}

func (a *application) revisionOf(id garden.ID) (int, error) {
	var revision *int
	if _, err := a.row(a.ctx, "SELECT revision FROM operation WHERE id = ?", []any{id[:]}, &revision); err != nil {
		return 0, err
	}
	if revision == nil {
		return 0, &garden.Error{Kind: garden.Refused, Text: "this change clashed with another and was never applied", Hint: "there is nothing to undo"}
	}
	return *revision, nil
}

// free refuses an undo that later changes depend on: changes of the same fields, or records that name the one to go.
func (a *application) free(undone, by garden.Operation) error {
	now, _, err := a.latest(by.Record)
	if err != nil {
		return err
	}
	blocked := now.revision != by.Base
	if blocked && by.Action == garden.Change && now.action != garden.Remove {
		base, err := a.at(by.Record, by.Base)
		if err != nil {
			return err
		}
		_, clashes, err := merge(base, now.body, by.Body)
		if err != nil {
			return err
		}
		blocked = len(clashes) > 0
	}
	var later []garden.Past
	if blocked {
		if later, err = a.after(by.Record, by.Base); err != nil {
			return err
		}
	} else if by.Action == garden.Remove {
		if later, err = a.hangingOn(by.Kind, by.Record); err != nil {
			return err
		}
	}
	if len(later) == 0 {
		return nil
	}
	d := &Depends{Later: later}
	return &garden.Error{Kind: garden.Refused, Text: fmt.Sprintf("this %s of %s cannot be undone: %v", undone.Action, word.A(string(undone.Kind)), d), Hint: "undo those first", Cause: d}
}

// after returns the changes of the record after the revision.
func (a *application) after(record garden.ID, revision int) ([]garden.Past, error) {
	return pasts(a.ctx, a.conn, pastColumns+`LEFT JOIN operation p ON p.record = o.record AND p.revision = o.revision - 1
WHERE o.record = ? AND o.revision > ? ORDER BY o.seq`, record[:], revision)
}

// hangingOn returns the last change of each record that names the record.
func (a *application) hangingOn(k garden.Kind, id garden.ID) ([]garden.Past, error) {
	users, err := a.users(k, id)
	if err != nil {
		return nil, err
	}
	var out []garden.Past
	for _, u := range users {
		last, err := pasts(a.ctx, a.conn, pastColumns+`LEFT JOIN operation p ON p.record = o.record AND p.revision = o.revision - 1
WHERE o.record = ? AND o.revision IS NOT NULL ORDER BY o.revision DESC LIMIT 1`, u.id[:])
		if err != nil {
			return nil, err
		}
		out = append(out, last...)
	}
	return out, nil
}
