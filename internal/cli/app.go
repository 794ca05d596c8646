package cli

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"fairplot/internal/book"
	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/unit"

	"github.com/google/uuid"
)

// app is one run of the program.
type app struct {
	env        Env
	ctx        context.Context
	bookFlag   string
	personFlag string
	opened     *book.Book
	lines      *bufio.Reader // standard input, once something was asked
}

func (a *app) close() error {
	if a.opened == nil {
		return nil
	}
	b := a.opened
	a.opened = nil
	return b.Close()
}

// newID makes a time-ordered id (UUIDv7, RFC 9562).
func (a *app) newID() garden.ID {
	id, err := uuid.NewV7FromReader(a.env.Entropy)
	if err != nil {
		panic(fmt.Sprintf("cli: no randomness for an id: %v", err))
	}
	return garden.ID(id)
}

// path makes a name from the command line one that the system can open.
func (a *app) path(name string) string {
	if filepath.IsAbs(name) {
		return name
	}
	return filepath.Join(a.env.Dir, name)
}

const extension = ".fairplot"

// bookPath finds the book: the flag, else the environment, else the only one in the folder.
func (a *app) bookPath() (string, error) {
	if a.bookFlag != "" {
		return a.path(a.bookFlag), nil
	}
	if name := a.env.Getenv("FAIRPLOT_BOOK"); name != "" {
		return a.path(name), nil
	}
	found, err := filepath.Glob(filepath.Join(a.env.Dir, "*"+extension))
	if err != nil {
		return "", err
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		return "", &garden.Error{Kind: garden.Missing, Text: "there is no book in this folder", Hint: "make one with: fairplot new garden" + extension + "; or name one with --book FILE"}
	}
	for i, f := range found {
		found[i] = filepath.Base(f)
	}
	return "", &garden.Error{Kind: garden.Ambiguous, Text: fmt.Sprintf("there are %d books in this folder: %s", len(found), strings.Join(found, ", ")), Hint: "name one with --book FILE"}
}

func (a *app) bookOptions() book.Options {
	return book.Options{Now: a.env.Now, NewID: a.newID, Wait: a.env.Patience}
}

// open opens the book, once.
func (a *app) open() (*book.Book, error) {
	if a.opened != nil {
		return a.opened, nil
	}
	path, err := a.bookPath()
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(path); err != nil || info.IsDir() {
		return nil, &garden.Error{Kind: garden.Missing, Text: "there is no book " + path, Hint: "make it with: fairplot new " + filepath.Base(path)}
	}
	a.opened, err = book.Open(a.ctx, path, a.bookOptions())
	return a.opened, err
}

// session is the part of the book that a command works on.
type session struct {
	book    *book.Book
	records garden.Records
	x       *garden.Index
	units   unit.Reader
	today   civil.Date
}

// read opens the book and reads the records wanted; settings and measures come along.
func (a *app) read(want garden.Want) (*session, error) {
	b, err := a.open()
	if err != nil {
		return nil, err
	}
	records, err := b.Read(a.ctx, want)
	if err != nil {
		return nil, err
	}
	return &session{book: b, records: records, x: garden.NewIndex(records), units: diary.Units(records), today: civil.FromTime(a.env.Now())}, nil
}

// context is what drafts are read against.
func (a *app) context(s *session) (diary.Context, error) {
	c := diary.Context{
		Records: s.x, Today: s.today, Units: s.units, Dates: diary.Dates(s.records, s.today),
		NewID: a.newID, Now: a.env.Now(), Asks: true,
	}
	if a.personFlag == "" {
		return c, nil
	}
	ids := s.x.Named(garden.KindPerson, a.personFlag)
	if len(ids) != 1 {
		return c, &garden.Error{Kind: garden.Missing, Field: "noted-by", Text: "no person is called " + a.personFlag, Hint: "add them with: fairplot person add --name " + a.personFlag}
	}
	c.Person = garden.PersonID(ids[0])
	return c, nil
}

func (s *session) writing() *diary.Writing {
	return &diary.Writing{Records: s.x, Units: s.units}
}

// words writes a line for people on standard error.
func (a *app) words(format string, args ...any) {
	fmt.Fprintf(a.env.Stderr, format+"\n", args...)
}
