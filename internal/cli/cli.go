// Package cli is the program as it is called from a command line: it reads flags, environment and clock, opens the book and
// lets the diary and the questions do the work. Results go to standard output, words to standard error; the exit status is
// 0 for done, 1 for could not, 2 for wrong use.
package cli

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"os"
	"time"

	"fairplot/internal/garden"

	"golang.org/x/term"
)

// Env is all that the program takes from the machine. What is nil or empty is taken from the real one.
type Env struct {
	Args     []string // without the program's name
	Stdin    io.Reader
	Stdout   io.Writer
	Stderr   io.Writer
	Now      func() time.Time
	Entropy  io.Reader           // for ids
	Getenv   func(string) string // FAIRPLOT_BOOK
	Dir      string              // in which the only book is looked for and relative names lie
	Terminal bool                // somebody sits there and can answer
	Patience time.Duration       // how long to wait for another program that writes to the book; 0 is the book's own
}

func (e Env) filled() Env {
	if e.Now == nil {
		e.Now = time.Now
	}
	if e.Entropy == nil {
		e.Entropy = rand.Reader
	}
	if e.Getenv == nil {
		e.Getenv = os.Getenv
	}
	if e.Dir == "" {
		e.Dir = "."
	}
	e.Stderr = plainly{e.Stderr}
	if f, ok := e.Stdin.(*os.File); ok && !e.Terminal {
		e.Terminal = term.IsTerminal(int(f.Fd()))
	}
	return e
}

// Main runs the program and returns its exit status.
func Main(ctx context.Context, env Env) int {
	a := &app{env: env.filled(), ctx: ctx}
	root := a.root()
	root.SetArgs(a.env.Args)
	err := root.ExecuteContext(ctx)
	err = errors.Join(err, a.close())
	if err == nil {
		return 0
	}
	return a.report(err)
}

// report says what went wrong and returns the exit status for it.
func (a *app) report(err error) int {
	var told *toldError
	if errors.As(err, &told) {
		return told.status
	}
	var wrong *usageError
	if errors.As(err, &wrong) {
		fmt.Fprintf(a.env.Stderr, "fairplot: %s\n", wrong.text)
		return wrongUse
	}
	var e *garden.Error
	if errors.As(err, &e) {
		fmt.Fprintf(a.env.Stderr, "fairplot: %s\n", e.Error())
		return exitStatus(e.Kind)
	}
	fmt.Fprintf(a.env.Stderr, "fairplot: %v\n", err)
	return couldNot
}

// The exit statuses besides 0.
const (
	couldNot = 1
	wrongUse = 2
)

// exitStatus is the table from what went wrong to the exit status: what the writer of the command line can mend in it is
// wrong use, all else could not be done.
func exitStatus(k garden.ErrorKind) int {
	switch k {
	case garden.Invalid, garden.Ambiguous:
		return wrongUse
	case garden.Internal, garden.Missing, garden.Conflict, garden.Refused, garden.Foreign, garden.Newer, garden.Damaged,
		garden.Busy, garden.Full, garden.ReadOnly:
		return couldNot
	}
	return couldNot
}

// usageError is a command line that cannot be understood.
type usageError struct{ text string }

func (e *usageError) Error() string { return e.text }

// toldError ends the program after everything was said already.
type toldError struct{ status int }

func (e *toldError) Error() string { return "" }
