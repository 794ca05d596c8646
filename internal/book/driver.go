package book

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"fairplot/internal/garden"

	"modernc.org/sqlite"
)

// All that is particular to the SQLite driver stands in this file.

// ofd asks for locks that belong to the open file, once and before the first lock: with the older kind, closing any other handle
// on the book in this process would drop them. Only Linux has them; elsewhere a process should open a book once.
var ofd = sync.OnceValue(func() error {
	_, err := sqlite.OFDLocking(true)
	if errors.Is(err, sqlite.ErrOFDLockingUnavailable) {
		return nil
	}
	return err
})

// address returns the data source name. The path goes in as an escaped URI: joined by hand, a ? or # in it would cut the
// name short and another file would be opened.
func address(path string, readOnly bool, wait time.Duration) string {
	opaque := (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath()
	options := []string{"mode=rw", "_txlock=immediate"}
	if readOnly {
		options = []string{"mode=ro", "_pragma=query_only(1)"}
	}
	options = append(options, "_dqs=0", fmt.Sprintf("_pragma=busy_timeout(%d)", wait.Milliseconds()))
	for _, p := range pragmas(readOnly) {
		options = append(options, fmt.Sprintf("_pragma=%s(%s)", p.name, p.value))
	}
	return (&url.URL{Scheme: "file", Opaque: opaque}).String() + "?" + strings.Join(options, "&")
}

type pragma struct{ name, value string }

// pragmas are set in the address of each connection and read back, since an option the driver does not know is passed over in silence.
func pragmas(readOnly bool) []pragma {
	all := []pragma{{"foreign_keys", "1"}, {"trusted_schema", "0"}, {"fullfsync", "1"}, {"checkpoint_fullfsync", "1"}, {"synchronous", "2"}}
	if readOnly {
		return append(all, pragma{"query_only", "1"})
	}
	return append(all, pragma{"journal_size_limit", "16777216"}, pragma{"cache_size", "-32000"})
}

// connect opens a pool and makes sure that its options took.
func connect(ctx context.Context, path string, readOnly bool, wait time.Duration, most int) (*sql.DB, error) {
	db, err := sql.Open("sqlite", address(path, readOnly, wait))
	if err != nil {
		return nil, explain(err, path)
	}
	db.SetMaxOpenConns(most)
	db.SetMaxIdleConns(most)
	if err := readBack(ctx, db, path, readOnly); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return db, nil
}

func readBack(ctx context.Context, db *sql.DB, path string, readOnly bool) error {
	for _, p := range pragmas(readOnly) {
		var got string
		if err := db.QueryRowContext(ctx, "PRAGMA "+p.name).Scan(&got); err != nil {
			return explain(err, path)
		}
		if got != p.value {
			return &garden.Error{Kind: garden.Internal, Text: fmt.Sprintf("the database option %s is %s and not %s", p.name, got, p.value),
				Hint: "this program was not built as it should be: get it anew"}
		}
	}
	return nil
}

// The result codes of SQLite that a grower can do something about (sqlite.org/rescode.html); the low byte is the primary code.
const (
	codeBusy     = 5
	codeLocked   = 6
	codeReadOnly = 8
	codeIO       = 10
	codeCorrupt  = 11
	codeFull     = 13
	codeCantOpen = 14
	codeNotBook  = 26
)

// explain turns an error of the driver into a sentence for the grower; other errors pass.
func explain(err error, path string) error {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return err
	}
	tell := func(kind garden.ErrorKind, text, hint string) error {
		return &garden.Error{Kind: kind, Text: text, Hint: hint, Cause: err}
	}
	switch e.Code() & 0xff {
	case codeBusy, codeLocked:
		return tell(garden.Busy, path+" is being written by another program", "wait until that has finished, or close it, and try again; nothing was changed")
	case codeReadOnly:
		return tell(garden.ReadOnly, path+" may not be written", "check the rights of the file and of its folder, or copy the book to a place of your own")
	case codeIO:
		return tell(garden.Damaged, path+" cannot be read from or written to its disk", "check the disk and the cable, then try again; nothing was changed")
	case codeCorrupt:
		return tell(garden.Damaged, path+" is damaged", "leave it as it is and restore your last backup; keep the damaged file, parts may be saved")
	case codeFull:
		return tell(garden.Full, "the disk that holds "+path+" is full", "make room and try again; nothing was changed and nothing is lost")
	case codeCantOpen:
		return tell(garden.ReadOnly, path+" cannot be opened for writing", "check that the folder is there and that you may write to it")
	case codeNotBook:
		return tell(garden.Foreign, path+" is not a book of this program", "name the file that holds your book, or make a new one")
	}
	return err
}

// constraint reports whether the error is a row that is there already.
func constraint(err error) bool {
	const unique, primaryKey = 2067, 1555
	var e *sqlite.Error
	return errors.As(err, &e) && (e.Code() == unique || e.Code() == primaryKey)
}
