package book

import (
	"context"
	"crypto/sha256"
	"fmt"
	"time"

	"fairplot/internal/garden"
	"fairplot/internal/word"
)

// Apply keeps operations in one transaction and answers each: what could not be kept is told in its receipt and does not hold up
// the others, as a phone may send a whole week. On an error nothing was kept at all.
func (b *Book) Apply(ctx context.Context, ops []garden.Operation) ([]garden.Receipt, error) {
	receipts := make([]garden.Receipt, 0, len(ops))
	err := b.transact(ctx, func(calm context.Context, w *writer) error {
		a := w.begin(calm, b.options.Now())
		for _, op := range ops {
			if err := ctx.Err(); err != nil {
				return err
			}
			r, err := a.apply(op)
			if err != nil {
				return err
			}
			receipts = append(receipts, r)
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	return receipts, nil
}

// CopyIn keeps operations all or none: one that is refused or clashes takes back everything, and the receipts tell which. A
// progress that is not nil is told from time to time how many are done.
func (b *Book) CopyIn(ctx context.Context, ops []garden.Operation, progress func(done int)) ([]garden.Receipt, error) {
	receipts, bad := make([]garden.Receipt, 0, len(ops)), 0
	err := b.transact(ctx, func(calm context.Context, w *writer) error {
		a := w.begin(calm, b.options.Now())
		for i, op := range ops {
			if err := ctx.Err(); err != nil {
				return err
			}
			r, err := a.apply(op)
			if err != nil {
				return err
			}
			if r.Outcome == garden.RefusedOut || r.Outcome == garden.Clashed {
				bad++
			}
			receipts = append(receipts, r)
			if done := i + 1; progress != nil && (done%1000 == 0 || done == len(ops)) {
				progress(done)
			}
		}
		if bad > 0 {
			return errTakeBack
		}
		return nil
	})
	if err == nil && bad > 0 {
		err = &garden.Error{Kind: garden.Refused, Text: fmt.Sprintf("%d of %d entries cannot be kept, so none was", bad, len(ops)), Hint: "mend those and read everything in again"}
	}
	return receipts, err
}

// application is the state of one transaction.
type application struct {
	*writer
	ctx      context.Context
	received string
	seen     map[garden.ID]bool // records that were looked up: are they there now?
}

func (w *writer) begin(ctx context.Context, now time.Time) *application {
	return &application{writer: w, ctx: ctx, received: instant(now), seen: map[garden.ID]bool{}}
}

// state is a record as the last operation applied to it left it.
type state struct {
	revision int
	action   garden.Action
	kind     garden.Kind
	by       garden.ID // that operation
	body     []byte
}

// apply keeps one operation. Its error is one of the database, never of the operation.
func (a *application) apply(op garden.Operation) (garden.Receipt, error) {
	hash := digest(op)
	rec, err := reading(op)
	if err != nil {
		return refuse(op, err.Error()), nil
	}
	if op.Action == garden.Add && op.Undoes.IsZero() {
		return a.add(op, hash, rec)
	}
	if receipt, had, err := a.had(op, hash); had || err != nil {
		return receipt, err
	}
	now, there, err := a.latest(op.Record)
	switch {
	case err != nil:
		return garden.Receipt{}, err
	case !there:
		return refuse(op, "the book has never had the record it is about"), nil
	case now.kind != op.Kind:
		return refuse(op, "the record is "+word.A(string(now.kind))+", not "+word.A(string(op.Kind))), nil
	case op.Base > now.revision:
		return refuse(op, "it builds on a change that this book has never had"), nil
	}
	switch op.Action {
	case garden.Add:
		return a.revive(op, hash, rec, now)
	case garden.Change:
		return a.change(op, hash, rec, now)
	}
	return a.remove(op, hash, now)
}

// reading checks the form of an operation and returns the record in it, nil for a removal.
func reading(op garden.Operation) (garden.Record, error) {
	switch {
	case op.ID.IsZero() || op.Record.IsZero():
		return nil, fmt.Errorf("the operation or its record has no id")
	case op.Action != garden.Add && op.Action != garden.Change && op.Action != garden.Remove:
		return nil, fmt.Errorf("%q is nothing that can be done to a record", op.Action)
	case op.Base < 0, op.Action == garden.Add && op.Undoes.IsZero() && op.Base != 0, op.Action != garden.Add && op.Base == 0:
		return nil, fmt.Errorf("revision %d is nothing that it can build on", op.Base)
	case len(op.Sent) != 0 && len(op.Sent) != sha256.Size:
		return nil, fmt.Errorf("the hash of what was written has %d bytes and not %d", len(op.Sent), sha256.Size)
	case op.Action == garden.Remove && len(op.Body) > 0:
		return nil, fmt.Errorf("a removal carries no record")
	case op.Action == garden.Remove && !known(op.Kind):
		return nil, fmt.Errorf("%q is no kind of record", op.Kind)
	case op.Action == garden.Remove:
		return nil, nil
	}
	rec, err := garden.Decode(op.Kind, op.Record, 1, op.Body)
	if err != nil {
		return nil, err
	}
	return rec, rec.Check()
}

func refuse(op garden.Operation, says string) garden.Receipt {
	return garden.Receipt{Operation: op.ID, Outcome: garden.RefusedOut, Says: says}
}

func kept(op garden.Operation, revision int, says string) garden.Receipt {
	return garden.Receipt{Operation: op.ID, Outcome: garden.Kept, Revision: revision, Says: says}
}

// add keeps a new record. It does not look first: the operation's id and the pair of record and revision are unique in the table,
// so that the one insertion also finds what was there before.
func (a *application) add(op garden.Operation, hash []byte, rec garden.Record) (garden.Receipt, error) {
	says, err := a.targets(rec)
	if err != nil || says.refused {
		return a.unlessHad(op, hash, refuse(op, says.text), err)
	}
	switch err := a.log(op, hash, 1, 0, nil); {
	case constraint(err):
		return a.unlessHad(op, hash, refuse(op, "there is or was a record with this id: a removed record comes back only by undo"), nil)
	case err != nil:
		return garden.Receipt{}, err
	}
	return kept(op, 1, says.text), a.put(rec)
}

func (a *application) unlessHad(op garden.Operation, hash []byte, other garden.Receipt, err error) (garden.Receipt, error) {
	if err != nil {
		return garden.Receipt{}, err
	}
	receipt, had, err := a.had(op, hash)
	if had || err != nil {
		return receipt, err
	}
	return other, nil
}

// revive brings a removed record back, as the undoing of its removal.
func (a *application) revive(op garden.Operation, hash []byte, rec garden.Record, now state) (garden.Receipt, error) {
	if now.action != garden.Remove || now.by != op.Undoes || op.Base != now.revision {
		return refuse(op, "the record is there, or was removed by another change than the one this undoes"), nil
	}
	says, err := a.targets(rec)
	if err != nil || says.refused {
		return refuse(op, says.text), err
	}
	revision := now.revision + 1
	if err := a.log(op, hash, revision, 0, nil); err != nil {
		return garden.Receipt{}, err
	}
	return kept(op, revision, says.text), a.put(garden.WithIdentity(rec, op.Record, revision))
}

// change keeps a change, put together with what others changed meanwhile where the two touch different fields.
func (a *application) change(op garden.Operation, hash []byte, rec garden.Record, now state) (garden.Receipt, error) {
	if now.action == garden.Remove {
		return a.clash(op, hash, now, "the record was removed meanwhile")
	}
	var merged []byte
	if op.Base != now.revision {
		var trouble string
		var err error
		if rec, merged, trouble, err = a.mend(op, now); err != nil {
			return garden.Receipt{}, err
		}
		if trouble != "" {
			return a.clash(op, hash, now, trouble)
		}
	}
	says, err := a.targets(rec)
	if err != nil || says.refused {
		return refuse(op, says.text), err
	}
	if merged != nil {
		says.text = "put together with what somebody else changed meanwhile"
	}
	revision := now.revision + 1
	if err := a.log(op, hash, revision, 0, merged); err != nil {
		return garden.Receipt{}, err
	}
	if err := a.drop(op.Kind, op.Record); err != nil {
		return garden.Receipt{}, err
	}
	return kept(op, revision, says.text), a.put(garden.WithIdentity(rec, op.Record, revision))
}

// mend puts a change that builds on an older revision together with what was changed since; trouble says why it cannot.
func (a *application) mend(op garden.Operation, now state) (rec garden.Record, merged []byte, trouble string, err error) {
	base, err := a.at(op.Record, op.Base)
	if err != nil {
		return nil, nil, "", err
	}
	merged, fields, wrong := merge(base, now.body, op.Body)
	switch {
	case wrong != nil:
		return nil, nil, wrong.Error(), nil
	case len(fields) > 0:
		return nil, nil, "somebody else changed it meanwhile: " + join(fields), nil
	}
	if rec, merged, wrong = settle(op, merged); wrong != nil {
		return nil, nil, "put together with what somebody else changed meanwhile it cannot be: " + wrong.Error(), nil
	}
	return rec, merged, "", nil
}

// remove keeps a removal, unless other records name the record.
func (a *application) remove(op garden.Operation, hash []byte, now state) (garden.Receipt, error) {
	if now.action == garden.Remove {
		return refuse(op, "the record was removed already"), nil
	}
	if op.Base != now.revision {
		return a.clash(op, hash, now, "somebody else changed it meanwhile")
	}
	users, err := a.users(op.Kind, op.Record)
	if err != nil {
		return garden.Receipt{}, err
	}
	if len(users) > 0 {
		return refuse(op, fmt.Sprintf("%s belong to it; remove or move them first", counted(users))), nil
	}
	revision := now.revision + 1
	if err := a.log(op, hash, revision, 0, nil); err != nil {
		return garden.Receipt{}, err
	}
	return kept(op, revision, ""), a.drop(op.Kind, op.Record)
}

// clash keeps an operation in the history without applying it.
func (a *application) clash(op garden.Operation, hash []byte, now state, says string) (garden.Receipt, error) {
	err := a.log(op, hash, 0, now.revision, nil)
	return garden.Receipt{Operation: op.ID, Outcome: garden.Clashed, Says: says, Revision: now.revision}, err
}
