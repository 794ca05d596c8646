package civil

// Precision says how surely a date is known.
type Precision uint8

// The precisions of a When.
const (
	Exact Precision = iota // that very day
	About                  // that day or near it
	InWeek                 // some day of that ISO week; the date is its Thursday
)

// When is a date with its precision; the zero value is "no date".
type When struct {
	Date      Date
	Precision Precision
}

// IsZero reports whether w is "no date".
func (w When) IsZero() bool { return w.Date.IsZero() }
