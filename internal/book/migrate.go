package book

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"fairplot/internal/garden"
)

//go:embed migrations/*.sql
var shipped embed.FS

// migrations returns the steps from each form of a book to the next; step i leads to form i+1.
func migrations() ([]string, error) {
	names, err := fs.Glob(shipped, "migrations/*.sql")
	if err != nil {
		return nil, err
	}
	steps := make([]string, len(names))
	for i, name := range names {
		text, err := shipped.ReadFile(name)
		if err != nil {
			return nil, err
		}
		steps[i] = string(text)
	}
	return steps, nil
}

// migrate brings the book to the newest form, each step and its checks in one transaction.
func migrate(ctx context.Context, db *sql.DB, path string, steps []string) error {
	var version int
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return explain(err, path)
	}
	if version > len(steps) {
		return tooNew(path, version, len(steps))
	}
	for ; version < len(steps); version++ {
		if err := step(ctx, db, steps[version], version+1); err != nil {
			return explain(err, path)
		}
	}
	return nil
}

func step(ctx context.Context, db *sql.DB, text string, to int) (err error) {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, tx.Rollback())
		}
	}()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version >= to { // another program was quicker
		return tx.Rollback()
	}
	if _, err := tx.ExecContext(ctx, text); err != nil {
		return fmt.Errorf("step to form %d: %w", to, err)
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", to)); err != nil {
		return err
	}
	if err := sound(ctx, tx); err != nil {
		return fmt.Errorf("step to form %d: %w", to, err)
	}
	return tx.Commit()
}

type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

// sound runs SQLite's own checks of the file and of its references.
func sound(ctx context.Context, q querier) error {
	lines, err := column(ctx, q, "SELECT integrity_check FROM pragma_integrity_check")
	if err != nil {
		return err
	}
	if len(lines) != 1 || lines[0] != "ok" {
		return damaged(fmt.Sprintf("the check of the book found: %s", lines[0]))
	}
	lines, err = column(ctx, q, `SELECT "table" FROM pragma_foreign_key_check`)
	if err != nil {
		return err
	}
	if len(lines) > 0 {
		return damaged(fmt.Sprintf("%d references in %s lead nowhere", len(lines), lines[0]))
	}
	return nil
}

func damaged(text string) error {
	return &garden.Error{Kind: garden.Damaged, Text: text, Hint: "leave the book as it is and restore your last backup"}
}

// column returns the first column of a query as text.
func column(ctx context.Context, q querier, query string, args ...any) (out []string, err error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		var s string
		if err := rows.Scan(&s); err != nil {
			return nil, err
		}
		out = append(out, s)
	}
	return out, rows.Err()
}
