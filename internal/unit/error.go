package unit

// Error tells in a sentence why a text is no such quantity and what to write instead.
type Error struct {
	Text string // what is wrong, without the final stop
	Hint string // how to mend it
}

// Error returns text and hint as one line.
func (e *Error) Error() string {
	if e.Hint == "" {
		return e.Text
	}
	return e.Text + "; " + e.Hint
}

// shorten keeps a message on one line, whatever was pasted into the field.
func shorten(s string) string {
	runes := []rune(s)
	if len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return s
}
