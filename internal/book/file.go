package book

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"syscall"

	"fairplot/internal/garden"
)

// applicationID marks the file as a book: "Fplt" in the place the SQLite file format has for it.
const applicationID = 0x46706c74

// The places in the header of an SQLite file (sqlite.org/fileformat2.html, section 1.3).
const (
	headerSize    = 100
	atPageSize    = 16
	atPageCount   = 28
	atUserVersion = 60
	atApplication = 68
)

// inspect looks at the file before the database opens it and touches nothing: what is no book must not even get a journal
// beside it. With os.O_RDWR it also finds out whether the file may be written.
func inspect(path string, newest, how int) error {
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return &garden.Error{Kind: garden.Missing, Text: "there is no book " + path, Hint: "make one with: fairplot new, or check the name", Cause: err}
	}
	if err != nil || info.IsDir() {
		return &garden.Error{Kind: garden.Foreign, Text: path + " is not a file that can be read", Hint: "name the file that holds your book", Cause: err}
	}
	header, err := readHeader(path, how)
	if err != nil {
		return err
	}
	if !bytes.HasPrefix(header, []byte("SQLite format 3\x00")) || len(header) < headerSize {
		return notBook(path, header)
	}
	if id := binary.BigEndian.Uint32(header[atApplication:]); id != applicationID {
		return &garden.Error{Kind: garden.Foreign, Text: path + " belongs to another program", Hint: "name the file that holds your book; this one was left as it is"}
	}
	if v := int(binary.BigEndian.Uint32(header[atUserVersion:])); v > newest {
		return tooNew(path, v, newest)
	}
	return whole(path, header, info.Size())
}

func tooNew(path string, version, newest int) error {
	return &garden.Error{Kind: garden.Newer, Text: fmt.Sprintf("%s was written by a newer version of this program (form %d; this one knows form %d)", path, version, newest),
		Hint: "get the newer program; the book was left as it is"}
}

func readHeader(path string, how int) ([]byte, error) {
	f, err := os.OpenFile(path, how, 0)
	if errors.Is(err, fs.ErrPermission) || errors.Is(err, syscall.EROFS) {
		return nil, &garden.Error{Kind: garden.ReadOnly, Text: path + " may not be written", Hint: "check the rights of the file, or copy the book to a place of your own", Cause: err}
	}
	if err != nil {
		return nil, &garden.Error{Kind: garden.ReadOnly, Text: path + " cannot be opened", Hint: "check the file, its rights and its disk", Cause: err}
	}
	header, err := io.ReadAll(io.LimitReader(f, headerSize))
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, &garden.Error{Kind: garden.Damaged, Text: path + " cannot be read", Hint: "check the disk, then restore your last backup", Cause: err}
	}
	return header, nil
}

func notBook(path string, header []byte) error {
	e := &garden.Error{Kind: garden.Foreign, Text: path + " is not a book of this program", Hint: "name the file that holds your book; to read a table use: fairplot import"}
	if len(header) == 0 {
		e.Text, e.Hint = path+" is empty", "a book that was being made when the program stopped is left like this: remove the file and make the book again"
	}
	return e
}

// whole refuses a file that is shorter than its header says. While a journal waits beside it, the database itself must judge.
func whole(path string, header []byte, size int64) error {
	if info, err := os.Stat(path + "-wal"); err == nil && info.Size() > 0 {
		return nil
	}
	page := int64(binary.BigEndian.Uint16(header[atPageSize:]))
	if page == 1 {
		page = 65536
	}
	if pages := int64(binary.BigEndian.Uint32(header[atPageCount:])); size < page*pages {
		return &garden.Error{Kind: garden.Damaged, Text: fmt.Sprintf("%s is cut short: %d of its %d bytes are there", path, size, page*pages),
			Hint: "was it copied in full? copy it again, or restore your last backup"}
	}
	return nil
}
