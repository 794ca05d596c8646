package cli

import (
	"io"

	"fairplot/internal/word"
)

// plainly keeps what records hold from driving the terminal that words about them go to.
type plainly struct{ io.Writer }

func (p plainly) Write(b []byte) (int, error) {
	if _, err := io.WriteString(p.Writer, word.Plain(string(b))); err != nil {
		return 0, err
	}
	return len(b), nil
}
