package book

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairplot/internal/garden"
)

// Had returns the operation that was kept under the id, if there is one; Sent holds the hash it is known by. A sender that is not
// sure whether an entry arrived asks so before it is understood anew.
func (b *Book) Had(ctx context.Context, id garden.ID) (op garden.Operation, had bool, err error) {
	db, err := b.reader()
	if err != nil {
		return op, false, err
	}
	var record, person, device, undoes []byte
	var made sql.NullString
	var received string
	err = db.QueryRowContext(ctx, `SELECT action, kind, record, base, body, person, device, made, received, undoes, hash
FROM operation WHERE id = ?`, id[:]).Scan(&op.Action, &op.Kind, &record, &op.Base, &op.Body, &person, &device, &made, &received, &undoes, &op.Sent)
	if errors.Is(err, sql.ErrNoRows) {
		return garden.Operation{}, false, nil
	}
	if err != nil {
		return garden.Operation{}, false, explain(err, b.path)
	}
	op.ID = id
	copy(op.Record[:], record)
	copy(op.Person[:], person)
	copy(op.Device[:], device)
	copy(op.Undoes[:], undoes)
	if op.Received, err = time.Parse(time.RFC3339Nano, received); err == nil && made.Valid {
		op.Made, err = time.Parse(time.RFC3339Nano, made.String)
	}
	return op, err == nil, err
}
