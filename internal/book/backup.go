package book

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"fairplot/internal/garden"
)

// Backup writes a whole copy of the book as it stands now to a file that is not there yet. Copying the bare file of an open
// book would miss what is still in its log.
func (b *Book) Backup(ctx context.Context, path string) error {
	path, err := filepath.Abs(path)
	if err != nil {
		return err
	}
	if err := vacant(path); err != nil {
		return err
	}
	part := path + ".part" // a copy that broke off must not look like a backup
	if err := os.Remove(part); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	w, err := b.hold(ctx)
	if err != nil {
		return err
	}
	if _, err := w.conn.ExecContext(ctx, "VACUUM INTO ?", part); err != nil {
		return errors.Join(explain(err, path), remove(part))
	}
	if err := flush(part); err != nil {
		return errors.Join(err, remove(part))
	}
	return os.Rename(part, path)
}

func vacant(path string) error {
	_, err := os.Stat(path)
	if err == nil {
		return &garden.Error{Kind: garden.Refused, Text: path + " is there already", Hint: "choose another name; nothing is written over"}
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

func remove(path string) error {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// flush makes sure that the file is on the disk.
func flush(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// Restore makes a book of a backup at a new place and opens it. It gets an id of its own, so that a phone which has gone
// on with the other does not take the two for one.
func Restore(ctx context.Context, backup, path string, o Options) (*Book, error) {
	steps, err := migrations()
	if err != nil {
		return nil, err
	}
	if err := errors.Join(inspect(backup, len(steps), os.O_RDONLY), vacant(path)); err != nil {
		return nil, err
	}
	if info, err := os.Stat(backup + "-wal"); err == nil && info.Size() > 0 {
		return nil, &garden.Error{Kind: garden.Refused, Text: backup + " is in use, or was not closed", Hint: "open and close it with the program, or make a backup of it, and restore that"}
	}
	if err := duplicate(backup, path); err != nil {
		return nil, errors.Join(err, remove(path))
	}
	b, err := Open(ctx, path, o)
	if err != nil {
		return nil, err
	}
	err = b.Check(ctx)
	if err == nil {
		_, err = b.Renew(ctx)
	}
	if err != nil {
		return nil, errors.Join(err, b.Close(), remove(path))
	}
	return b, nil
}

func duplicate(from, to string) (err error) {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, in.Close()) }()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Sync(), out.Close())
}
