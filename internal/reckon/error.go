package reckon

// Error is a sentence about one input: what is wrong, and how to mend it.
type Error struct {
	Field string // the input, or "" for the calculator itself
	Text  string // what is wrong, without the final stop
	Hint  string // how to mend it
}

// Error returns field, text and hint as one line.
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

// refuse is an error about an input.
func refuse(field, text, hint string) error { return &Error{Field: field, Text: text, Hint: hint} }
