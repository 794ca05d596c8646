package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"

	"fairplot/internal/garden"
)

// Read returns the records of the kinds and the span wanted as they stood at one moment, one query for each kind. (Two
// connections at once gained a fifth of the time and needed a way to agree on the moment: not worth it.)
func (b *Book) Read(ctx context.Context, want garden.Want) (list garden.Records, err error) {
	kinds, err := wanted(want.Kinds)
	if err != nil {
		return list, err
	}
	db, err := b.reader()
	if err != nil {
		return list, err
	}
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return list, explain(err, b.path)
	}
	defer func() { err = explain(errors.Join(err, tx.Rollback()), b.path) }()
	c := &coder{}
	for _, k := range kinds {
		if err := c.kind(ctx, tx, &list, k, want); err != nil {
			return garden.Records{}, err
		}
	}
	return list, nil
}

// wanted returns each kind once, all if none is named.
func wanted(named []garden.Kind) (kinds []garden.Kind, err error) {
	if len(named) == 0 {
		return garden.Kinds(), nil
	}
	for _, k := range named {
		if !known(k) {
			return nil, &garden.Error{Kind: garden.Invalid, Text: fmt.Sprintf("%q is no kind of record", k), Hint: "the kinds are those that the help lists"}
		}
		if !slices.Contains(kinds, k) {
			kinds = append(kinds, k)
		}
	}
	return kinds, nil
}

// kind reads one table. A WITHOUT ROWID table lies on disk in the order of its key, so that day, id costs no sorting.
func (c *coder) kind(ctx context.Context, tx *sql.Tx, list *garden.Records, k garden.Kind, want garden.Want) (err error) {
	n := 0
	query, args := "SELECT body FROM "+table(k)+" ORDER BY day, id", []any(nil)
	if !want.From.IsZero() || !want.To.IsZero() {
		query, args = "SELECT body FROM "+table(k)+" WHERE day = 0 OR day BETWEEN ? AND ? ORDER BY day, id", span(want)
	} else if compact(k) {
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM "+table(k)).Scan(&n); err != nil {
			return err
		}
		grow(list, k, n)
	}
	rows, err := tx.QueryContext(ctx, query, args...)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	if n < many {
		return eachRow(rows, func(row []byte) error { return c.into(list, k, row) })
	}
	return beside(rows, func(row []byte) error { return c.into(list, k, row) })
}

// many is the number of rows from which it pays to decode them beside the database, and batch how many bytes of them go over at once.
const (
	many  = 5000
	batch = 64 << 10
)

// eachRow hands each row's one column over. The bytes are the database's and serve until the next row.
func eachRow(rows *sql.Rows, take func(row []byte) error) error {
	var row sql.RawBytes
	for rows.Next() {
		if err := rows.Scan(&row); err != nil {
			return err
		}
		if err := take(row); err != nil {
			return err
		}
	}
	return rows.Err()
}

// bundle is rows one after the other, and where each ends.
type bundle struct {
	bytes []byte
	ends  []int
}

// beside hands rows over in another goroutine, bundle by bundle, while the database finds the next ones.
func beside(rows *sql.Rows, take func(row []byte) error) error {
	full, empty := make(chan *bundle, 2), make(chan *bundle, 2)
	empty <- &bundle{}
	empty <- &bundle{}
	taken := make(chan error, 1)
	go func() { taken <- takeAll(full, empty, take) }()
	now := <-empty
	err := eachRow(rows, func(row []byte) error {
		now.bytes = append(now.bytes, row...)
		now.ends = append(now.ends, len(now.bytes))
		if len(now.bytes) >= batch {
			full <- now
			now = <-empty
		}
		return nil
	})
	full <- now
	close(full)
	return errors.Join(<-taken, err)
}

// takeAll takes the rows of full bundles until there are no more and gives the bundles back. After an error it takes no more rows.
func takeAll(full <-chan *bundle, empty chan<- *bundle, take func(row []byte) error) (err error) {
	for b := range full {
		from := 0
		for _, to := range b.ends {
			if err == nil {
				err = take(b.bytes[from:to:to])
			}
			from = to
		}
		b.bytes, b.ends = b.bytes[:0], b.ends[:0]
		empty <- b
	}
	return err
}

func span(want garden.Want) []any {
	from, to := -1<<31, 1<<31
	if !want.From.IsZero() {
		from = want.From.Number()
	}
	if !want.To.IsZero() {
		to = want.To.Number()
	}
	return []any{from, to}
}
