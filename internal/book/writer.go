package book

import (
	"context"
	"database/sql"
	"errors"

	"fairplot/internal/garden"
)

// writer is the one connection that writes, with its statements prepared once.
type writer struct {
	conn   *sql.Conn
	coder  coder
	stmts  map[string]*sql.Stmt
	tables map[garden.Kind]tableQueries
}

// tableQueries are the statements of one kind of record.
type tableQueries struct{ put, drop, there string }

// hold returns the writer, making it first. The caller holds b.mu.
func (b *Book) hold(ctx context.Context) (*writer, error) {
	if b.closed.Load() {
		return nil, errClosed()
	}
	if b.writer != nil {
		return b.writer, nil
	}
	conn, err := b.writers.Conn(ctx)
	if err != nil {
		return nil, explain(err, b.path)
	}
	w := &writer{conn: conn, stmts: map[string]*sql.Stmt{}, tables: map[garden.Kind]tableQueries{}}
	for _, k := range garden.Kinds() {
		w.tables[k] = tableQueries{
			put:   "INSERT INTO " + table(k) + " (day, id, body) VALUES (?, ?, ?)",
			drop:  "DELETE FROM " + table(k) + " WHERE id = ?",
			there: "SELECT 1 FROM " + table(k) + " WHERE id = ?",
		}
	}
	b.writer = w
	return w, nil
}

// stmt returns the query prepared on the writing connection; it may be used inside a transaction of that connection.
func (w *writer) stmt(ctx context.Context, query string) (*sql.Stmt, error) {
	if s, ok := w.stmts[query]; ok {
		return s, nil
	}
	s, err := w.conn.PrepareContext(ctx, query)
	if err == nil {
		w.stmts[query] = s
	}
	return s, err
}

// exec runs a prepared statement and returns how many rows it changed.
func (w *writer) exec(ctx context.Context, query string, args ...any) (int64, error) {
	s, err := w.stmt(ctx, query)
	if err != nil {
		return 0, err
	}
	result, err := s.ExecContext(ctx, args...)
	if err != nil {
		return 0, err
	}
	return result.RowsAffected()
}

// row runs a prepared query for one row and reports whether there was one.
func (w *writer) row(ctx context.Context, query string, args []any, dest ...any) (bool, error) {
	s, err := w.stmt(ctx, query)
	if err != nil {
		return false, err
	}
	err = s.QueryRowContext(ctx, args...).Scan(dest...)
	if errors.Is(err, sql.ErrNoRows) {
		return false, nil
	}
	return err == nil, err
}

func (w *writer) close() error {
	var errs []error
	for _, s := range w.stmts {
		errs = append(errs, s.Close())
	}
	return errors.Join(append(errs, w.conn.Close())...)
}

// errTakeBack ends a transaction without keeping anything and without being an error to the caller.
var errTakeBack = errors.New("take back")

// transact runs do in one immediate transaction: all of it is on the disk afterwards, or nothing.
func (b *Book) transact(ctx context.Context, do func(ctx context.Context, w *writer) error) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	w, err := b.hold(ctx)
	if err != nil {
		return err
	}
	// A context that can be cancelled costs a goroutine in every statement; do looks at the caller's own between operations.
	calm := context.WithoutCancel(ctx)
	tx, err := w.conn.BeginTx(calm, nil)
	if err != nil {
		return explain(err, b.path)
	}
	if err := do(calm, w); err != nil {
		if back := tx.Rollback(); errors.Is(err, errTakeBack) {
			return explain(back, b.path)
		}
		return explain(err, b.path)
	}
	if err := tx.Commit(); err != nil {
		// SQLite may keep a transaction open whose commit failed; the next one must be able to begin.
		_, _ = w.conn.ExecContext(calm, "ROLLBACK")
		return explain(err, b.path)
	}
	return nil
}
