package garden

// ErrorKind sorts errors by what can be done about them.
type ErrorKind uint8

// The kinds of error. The rims map them to exit codes and HTTP statuses.
const (
	Internal  ErrorKind = iota
	Invalid             // what was given cannot be read or kept
	Missing             // what is named is not there
	Ambiguous           // what is named could be several
	Conflict            // someone else changed it meanwhile
	Refused             // readable, but must not be done as asked
	Foreign             // the file is no book
	Newer               // the book was written by a newer version
	Damaged             // the file is broken
	Busy                // another program is writing
	Full                // no room on the disk
	ReadOnly            // the file or folder cannot be written
)

// Error is a sentence for the grower: what is wrong, where, and how to mend it.
type Error struct {
	Kind  ErrorKind
	Field string // the field or column it is about, if any
	Text  string // what is wrong, a whole sentence without the final stop
	Hint  string // what to do about it
	Cause error
}

// Error returns text and hint as one line.
func (e *Error) Error() string {
	s := e.Text
	if e.Field != "" {
		s = e.Field + ": " + s
	}
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}

// Unwrap returns the cause.
func (e *Error) Unwrap() error { return e.Cause }

func invalid(field, text, hint string) error {
	return &Error{Kind: Invalid, Field: field, Text: text, Hint: hint}
}
