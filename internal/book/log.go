package book

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"slices"

	"fairplot/internal/garden"
)

// digest returns the hash that an operation is known by: that of what it was written as, where it came from elsewhere, or
// else the SHA-256 of everything in it but when it was received.
func digest(op garden.Operation) []byte {
	if len(op.Sent) > 0 {
		return op.Sent
	}
	b := make([]byte, 0, 160+len(op.Body))
	for _, id := range [][16]byte{op.ID, op.Record, op.Person, op.Device, op.Undoes} {
		b = append(b, id[:]...)
	}
	b = binary.BigEndian.AppendUint64(b, uint64(op.Base))
	for _, s := range []string{string(op.Action), string(op.Kind), instant(op.Made)} {
		b = append(binary.AppendUvarint(b, uint64(len(s))), s...)
	}
	sum := sha256.Sum256(append(b, op.Body...))
	return sum[:]
}

func known(k garden.Kind) bool { return slices.Contains(garden.Kinds(), k) }

// had reports whether the operation's id was met before, and answers it.
func (a *application) had(op garden.Operation, hash []byte) (garden.Receipt, bool, error) {
	var before []byte
	var revision, against *int
	found, err := a.row(a.ctx, "SELECT hash, revision, against FROM operation WHERE id = ?", []any{op.ID[:]}, &before, &revision, &against)
	if !found || err != nil {
		return garden.Receipt{}, false, err
	}
	if !bytes.Equal(before, hash) {
		return refuse(op, "another operation came under the same id before; that one stands"), true, nil
	}
	receipt := garden.Receipt{Operation: op.ID, Outcome: garden.Had}
	if revision != nil {
		receipt.Revision = *revision
	} else {
		receipt.Revision, receipt.Says = *against, "it clashed with another change and was not applied"
	}
	return receipt, true, nil
}

// log writes the operation down. Revision 0 stands for "not applied", against for the revision it clashed with.
func (a *application) log(op garden.Operation, hash []byte, revision, against int, merged []byte) error {
	_, err := a.exec(a.ctx, `INSERT INTO operation (id, action, kind, record, base, revision, against, body, merged, hash, person, device, made, received, undoes)
VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		op.ID[:], string(op.Action), string(op.Kind), op.Record[:], op.Base, number(revision), number(against), blob(op.Body), blob(merged), hash,
		identity(garden.ID(op.Person)), identity(garden.ID(op.Device)), made(op), a.received, identity(op.Undoes))
	return err
}

// The four of these write NULL for "none".

func number(n int) any {
	if n == 0 {
		return nil
	}
	return n
}

func blob(b []byte) any {
	if b == nil {
		return nil
	}
	return b
}

func identity(id garden.ID) any {
	if id.IsZero() {
		return nil
	}
	return id[:]
}

func made(op garden.Operation) any {
	if op.Made.IsZero() {
		return nil
	}
	return instant(op.Made)
}

// latest returns the record's state, if the book ever had it.
func (a *application) latest(record garden.ID) (s state, there bool, err error) {
	var by []byte
	there, err = a.row(a.ctx, `SELECT revision, action, kind, id, coalesce(merged, body) FROM operation
WHERE record = ? AND revision IS NOT NULL ORDER BY revision DESC LIMIT 1`, []any{record[:]}, &s.revision, &s.action, &s.kind, &by, &s.body)
	copy(s.by[:], by)
	return s, there, err
}

// at returns the record's body after the revision, nil after a removal.
func (a *application) at(record garden.ID, revision int) (body []byte, err error) {
	_, err = a.row(a.ctx, "SELECT coalesce(merged, body) FROM operation WHERE record = ? AND revision = ?", []any{record[:], revision}, &body)
	return body, err
}

// put writes the row of a record.
func (a *application) put(rec garden.Record) error {
	row, err := a.coder.row(rec)
	if err != nil {
		return err
	}
	id := rec.Identity()
	a.seen[id] = true
	_, err = a.exec(a.ctx, a.tables[rec.Kind()].put, rec.Day().Number(), id[:], row)
	return err
}

func (a *application) drop(k garden.Kind, id garden.ID) error {
	a.seen[id] = false
	_, err := a.exec(a.ctx, a.tables[k].drop, id[:])
	return err
}
