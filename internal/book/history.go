package book

import (
	"context"
	"database/sql"
	"errors"
	"time"

	"fairplot/internal/garden"
)

// Look says which part of the history is wanted, newest first.
type Look struct {
	Record garden.ID // of this record alone; zero is all
	Before garden.ID // only what was kept before this operation, for the next page
	Limit  int       // at most so many; 0 is all
}

// pastColumns are what past reads; o is the operation, p the one before it on the same record.
const pastColumns = `SELECT o.id, o.action, o.kind, o.record, o.base, o.body, o.person, o.device, o.made, o.received, o.undoes,
coalesce(o.revision, 0), coalesce(o.merged, o.body), p.revision, coalesce(p.merged, p.body) FROM operation o `

// History returns the operations that were applied, each with the record before and after it.
func (b *Book) History(ctx context.Context, look Look) ([]garden.Past, error) {
	limit := look.Limit
	if limit <= 0 {
		limit = -1 // no limit, in SQLite
	}
	query := pastColumns + `LEFT JOIN operation p ON p.record = o.record AND p.revision = o.revision - 1
WHERE o.revision IS NOT NULL AND (?1 IS NULL OR o.record = ?1) AND (?2 IS NULL OR o.seq < (SELECT seq FROM operation WHERE id = ?2))
ORDER BY o.seq DESC LIMIT ?3`
	if !look.Record.IsZero() { // lets the index on record be used
		query = pastColumns + `LEFT JOIN operation p ON p.record = o.record AND p.revision = o.revision - 1
WHERE o.revision IS NOT NULL AND o.record = ?1 AND (?2 IS NULL OR o.seq < (SELECT seq FROM operation WHERE id = ?2))
ORDER BY o.seq DESC LIMIT ?3`
	}
	db, err := b.reader()
	if err != nil {
		return nil, err
	}
	list, err := pasts(ctx, db, query, identity(look.Record), identity(look.Before), limit)
	return list, explain(err, b.path)
}

// Clashes returns the operations that were kept but not applied, because somebody else had changed the same thing, until
// somebody who had that change before them changes the record again. Before is the record they clashed with.
func (b *Book) Clashes(ctx context.Context) ([]garden.Past, error) {
	db, err := b.reader()
	if err != nil {
		return nil, err
	}
	list, err := pasts(ctx, db, pastColumns+`LEFT JOIN operation p ON p.record = o.record AND p.revision = o.against
WHERE o.revision IS NULL AND NOT EXISTS (SELECT 1 FROM operation l WHERE l.record = o.record AND l.revision > o.against AND l.base >= o.against)
ORDER BY o.seq`)
	return list, explain(err, b.path)
}

func pasts(ctx context.Context, q querier, query string, args ...any) (list []garden.Past, err error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		p, err := past(rows)
		if err != nil {
			return nil, err
		}
		list = append(list, p)
	}
	return list, rows.Err()
}

func past(rows *sql.Rows) (p garden.Past, err error) {
	op := &p.Operation
	var id, record, person, device, undoes, after, before []byte
	var received string
	var made sql.NullString
	var revision int
	var earlier sql.NullInt64
	if err := rows.Scan(&id, &op.Action, &op.Kind, &record, &op.Base, &op.Body, &person, &device, &made, &received, &undoes, &revision, &after, &earlier, &before); err != nil {
		return p, err
	}
	copy(op.ID[:], id)
	copy(op.Record[:], record)
	copy(op.Person[:], person)
	copy(op.Device[:], device)
	copy(op.Undoes[:], undoes)
	if op.Received, err = time.Parse(time.RFC3339Nano, received); err != nil {
		return p, err
	}
	if made.Valid {
		if op.Made, err = time.Parse(time.RFC3339Nano, made.String); err != nil {
			return p, err
		}
	}
	if p.Before, err = opened(op, int(earlier.Int64), before); err != nil {
		return p, err
	}
	p.After, err = opened(op, revision, after)
	return p, err
}

func opened(op *garden.Operation, revision int, body []byte) (garden.Record, error) {
	if body == nil {
		return nil, nil
	}
	return garden.Decode(op.Kind, op.Record, revision, body)
}
