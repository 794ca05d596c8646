package cli

import (
	"fmt"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/garden"
)

// finish tells the account and, if every line was good, keeps all of it in one transaction.
func (in *importing) finish(s *session) error {
	wrong := 0
	for _, acc := range in.accounts {
		acc.said.write(in.app.env.Stderr, acc.file, "passed over")
		acc.doubts.write(in.app.env.Stderr, acc.file, "kept, but look at these")
		acc.wrong.write(in.app.env.Stderr, acc.file, counted(acc.wrong.count, "wrong line"))
		if acc.swapped != "" {
			in.app.words("%s: %s", acc.file, acc.swapped)
		}
		wrong += acc.wrong.count
	}
	if wrong > 0 {
		in.app.words("nothing was taken in; mend the lines and import again")
		return &toldError{status: couldNot}
	}
	if !in.options.dry && len(in.ops) > 0 {
		if err := in.keep(s); err != nil {
			return err
		}
	}
	for _, acc := range in.accounts {
		fmt.Fprintln(in.app.env.Stdout, acc.summary(in.options.dry))
	}
	if in.options.dry {
		in.app.words("this was a dry run: nothing was taken in")
	}
	return nil
}

// keep writes all operations in one transaction. Lines that were taken in before and whose records were removed since stay
// removed: the book refuses to make them anew, and without them the rest is tried once more.
func (in *importing) keep(s *session) error {
	receipts, err := in.copyIn(s)
	if err == nil {
		return nil
	}
	gone := map[garden.ID]bool{}
	for i, r := range receipts {
		op := in.ops[i]
		if r.Outcome != garden.RefusedOut {
			continue
		}
		past, lookErr := s.book.History(in.app.ctx, book.Look{Record: op.Record, Limit: 1})
		if lookErr != nil || op.Action != garden.Add || len(past) == 0 || past[0].Operation.Action != garden.Remove {
			return in.app.refusedBecause(err, receipts)
		}
		gone[op.ID] = true
	}
	if len(gone) == 0 {
		return err
	}
	in.forget(gone)
	if receipts, err = in.copyIn(s); err != nil {
		return in.app.refusedBecause(err, receipts)
	}
	return nil
}

func (in *importing) copyIn(s *session) ([]garden.Receipt, error) {
	return s.book.CopyIn(in.app.ctx, in.ops, func(done int) { in.progress("entries written", done, len(in.ops)) })
}

// forget drops operations and tells their lines.
func (in *importing) forget(gone map[garden.ID]bool) {
	var left []garden.Operation
	for i, op := range in.ops {
		if !gone[op.ID] {
			left = append(left, op)
			continue
		}
		acc := in.from[i].account
		acc.added--
		acc.removed++
		in.app.words("%s: line %d was taken in before and removed since; it stays removed", acc.file, in.from[i].line)
	}
	in.ops = left
}

// progress tells once a second how far it is, from the second second on.
func (in *importing) progress(what string, done, of int) {
	now := in.app.env.Now()
	if now.Sub(in.started) < time.Second || now.Sub(in.last) < time.Second {
		return
	}
	in.last = now
	in.app.words("%s of %s %s", grouped(done), grouped(of), what)
}
