// Package book keeps a grower's records in one SQLite file and is the only package that speaks SQL. Records come in as
// operations and go out as plain values of package garden; every operation is kept for ever, so that history, undo
// and entries sent twice are a matter of looking it up. It leaves out what records mean and who asks for them.
package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"fairplot/internal/garden"

	"github.com/google/uuid"
)

// Options are what a book needs from outside; the zero value takes clock and ids from the machine.
type Options struct {
	Now   func() time.Time
	NewID func() garden.ID // time-ordered ids, UUIDv7
	Wait  time.Duration    // how long to wait for another program that writes; 0 is five seconds
}

const usualWait = 5 * time.Second

func (o Options) filled() Options {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.NewID == nil {
		o.NewID = func() garden.ID { return garden.ID(uuid.Must(uuid.NewV7())) }
	}
	if o.Wait == 0 {
		o.Wait = usualWait
	}
	return o
}

// Book is an open book. Its methods may be called from several goroutines.
type Book struct {
	path    string
	options Options

	readers *sql.DB // read-only connections
	writers *sql.DB // one connection that may write
	mu      sync.Mutex
	writer  *writer // on that connection; guarded by mu
	closed  atomic.Bool
}

// Create makes a new book. A file that is already there is not touched.
func Create(ctx context.Context, path string, o Options) (*Book, error) {
	o = o.filled()
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	switch {
	case errors.Is(err, fs.ErrExist):
		return nil, &garden.Error{Kind: garden.Refused, Text: path + " is there already", Hint: "choose another name, or open that book", Cause: err}
	case err != nil:
		return nil, &garden.Error{Kind: garden.ReadOnly, Text: path + " cannot be made", Hint: "check that the folder is there and that you may write to it", Cause: err}
	}
	if err := f.Close(); err != nil {
		return nil, err
	}
	if err := found(ctx, path, o); err != nil {
		return nil, errors.Join(err, os.Remove(path))
	}
	return Open(ctx, path, o)
}

// found turns an empty file into an empty book.
func found(ctx context.Context, path string, o Options) (err error) {
	if err := ofd(); err != nil {
		return err
	}
	db, err := connect(ctx, path, false, o.Wait, 1)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, db.Close()) }()
	steps, err := migrations()
	if err != nil {
		return err
	}
	if _, err := db.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d", applicationID)); err != nil {
		return explain(err, path)
	}
	if err := migrate(ctx, db, path, steps); err != nil {
		return err
	}
	_, err = db.ExecContext(ctx, "INSERT INTO book (name, value) VALUES ('id', ?), ('made', ?)", o.NewID().String(), instant(o.Now()))
	if err != nil {
		return explain(err, path)
	}
	return journal(ctx, db, path)
}

// journal sets the write-ahead log, which stays with the file, and makes sure of it.
func journal(ctx context.Context, db *sql.DB, path string) error {
	var mode string
	if err := db.QueryRowContext(ctx, "PRAGMA journal_mode = wal").Scan(&mode); err != nil {
		return explain(err, path)
	}
	if mode != "wal" {
		return &garden.Error{Kind: garden.Refused, Text: "a book cannot be kept on this kind of disk (" + mode + ")", Hint: "keep it on a disk of this computer, not on a network drive"}
	}
	return nil
}

// Open opens a book that is there, and brings one of an older version to the present form.
func Open(ctx context.Context, path string, o Options) (*Book, error) {
	o = o.filled()
	path, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	steps, err := migrations()
	if err != nil {
		return nil, err
	}
	if err := errors.Join(ofd(), inspect(path, len(steps), os.O_RDWR)); err != nil {
		return nil, err
	}
	b := &Book{path: path, options: o}
	if err := b.open(ctx, steps); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	return b, nil
}

func (b *Book) open(ctx context.Context, steps []string) (err error) {
	// The writer comes first: in a write-ahead log a read-only connection needs files that only a writer may make.
	if b.writers, err = connect(ctx, b.path, false, b.options.Wait, 1); err != nil {
		return err
	}
	if err := migrate(ctx, b.writers, b.path, steps); err != nil {
		return err
	}
	if err := journal(ctx, b.writers, b.path); err != nil {
		return err
	}
	b.readers, err = connect(ctx, b.path, true, b.options.Wait, 4)
	return err
}

// Close closes the book and leaves one file. Readers go first: only the last connection that may write clears the log away.
func (b *Book) Close() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed.Swap(true) {
		return nil
	}
	var errs []error
	if b.readers != nil {
		errs = append(errs, b.readers.Close())
	}
	if b.writer != nil {
		errs = append(errs, b.writer.close())
	}
	if b.writers != nil {
		errs = append(errs, b.writers.Close())
	}
	return errors.Join(errs...)
}

// reader returns the pool of read-only connections. It does not wait for b.mu, which a long import holds.
func (b *Book) reader() (*sql.DB, error) {
	if b.closed.Load() {
		return nil, errClosed()
	}
	return b.readers, nil
}

func errClosed() error {
	return &garden.Error{Kind: garden.Refused, Text: "the book is closed", Hint: "open it again"}
}

// Path returns the absolute path of the file.
func (b *Book) Path() string { return b.path }

// ID returns the book's own id, by which a phone knows whether it talks to the book it knows.
func (b *Book) ID(ctx context.Context) (garden.ID, error) {
	db, err := b.reader()
	if err != nil {
		return garden.ID{}, err
	}
	var text string
	if err := db.QueryRowContext(ctx, "SELECT value FROM book WHERE name = 'id'").Scan(&text); err != nil {
		return garden.ID{}, explain(err, b.path)
	}
	return garden.ParseID(text)
}

// Renew gives the book a new id: a restored copy is another book than the one that phones have gone on with.
func (b *Book) Renew(ctx context.Context) (garden.ID, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	id := b.options.NewID()
	conn, err := b.hold(ctx)
	if err != nil {
		return garden.ID{}, err
	}
	if _, err := conn.conn.ExecContext(ctx, "UPDATE book SET value = ? WHERE name = 'id'", id.String()); err != nil {
		return garden.ID{}, explain(err, b.path)
	}
	return id, nil
}

// Version grows with every operation kept; what was worked out from one version holds until it grows.
func (b *Book) Version(ctx context.Context) (int64, error) {
	db, err := b.reader()
	if err != nil {
		return 0, err
	}
	var v int64
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(seq), 0) FROM operation").Scan(&v)
	return v, explain(err, b.path)
}

// Check runs SQLite's own checks over the whole file.
func (b *Book) Check(ctx context.Context) error {
	db, err := b.reader()
	if err != nil {
		return err
	}
	return explain(sound(ctx, db), b.path)
}

// instant returns the text under which an instant is kept.
func instant(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }
