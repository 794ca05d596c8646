package climate

// Error is a sentence about a reading that cannot be: what is wrong, and how to mend it.
type Error struct {
	Field string
	Text  string
	Hint  string
}

// Error returns field, text and hint as one line.
func (e *Error) Error() string {
	s := e.Field + ": " + e.Text
	if e.Hint != "" {
		s += "; " + e.Hint
	}
	return s
}
