package book

import (
	"context"
	"database/sql"
	"strings"
	"time"
)

// Address is the data source name of a writing connection; missing lets the file be made.
func Address(path string, missing bool) string {
	s := address(path, false, time.Second)
	if missing {
		s = strings.Replace(s, "mode=rw", "mode=rwc", 1)
	}
	return s
}

// Writers and Readers are the pools behind a book.
func (b *Book) Writers() *sql.DB { return b.writers }

// Readers is the pool of read-only connections.
func (b *Book) Readers() *sql.DB { return b.readers }

// Exec runs a statement on the writing connection.
func (b *Book) Exec(query string) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	w, err := b.hold(context.Background())
	if err != nil {
		return err
	}
	_, err = w.conn.ExecContext(context.Background(), query)
	return err
}

// ReadBackBare opens a file without any option and returns what the look at the options says.
func ReadBackBare(path string) error {
	if err := ofd(); err != nil {
		return nil
	}
	db, err := sql.Open("sqlite", path)
	if err != nil {
		return nil
	}
	defer db.Close()
	return readBack(context.Background(), db, path, false)
}
