package lmm

import "fmt"

// Kind tells the reasons apart for which a model cannot be fitted.
type Kind int

// The kinds of Error.
const (
	BadData    Kind = iota // not finite, wrong lengths, a weight that is not positive
	Deficient              // X is not of full column rank
	NoResidual             // fixed effects and groupings use up all rows
	PerfectFit             // nothing is left over to estimate a variance from
	Spanned                // the fixed effects account for all differences between the groups of a grouping
	Confounded             // a grouping cannot be told from the others or from the residual
	TooLarge               // the part that must be kept dense is larger than the budget
	NoMinimum              // the search found no minimum
)

// Error says why there is no answer. errors.Is compares kinds alone, so ErrPerfectFit matches every perfect fit.
type Error struct {
	Kind     Kind
	Grouping string // the grouping at fault, if any
	Text     string // a sentence without final stop
}

// Kinds of Error to compare with by errors.Is.
var (
	ErrBadData    = &Error{Kind: BadData, Text: "bad data"}
	ErrDeficient  = &Error{Kind: Deficient, Text: "fixed effects not of full rank"}
	ErrNoResidual = &Error{Kind: NoResidual, Text: "no residual degrees of freedom"}
	ErrPerfectFit = &Error{Kind: PerfectFit, Text: "perfect fit"}
	ErrSpanned    = &Error{Kind: Spanned, Text: "grouping inside the fixed effects"}
	ErrConfounded = &Error{Kind: Confounded, Text: "groupings cannot be told apart"}
	ErrTooLarge   = &Error{Kind: TooLarge, Text: "too large"}
	ErrNoMinimum  = &Error{Kind: NoMinimum, Text: "no minimum"}
)

// Error returns the sentence.
func (e *Error) Error() string { return e.Text }

// Is compares kinds.
func (e *Error) Is(target error) bool {
	t, ok := target.(*Error)
	return ok && t.Kind == e.Kind
}

func failed(kind Kind, grouping, format string, args ...any) *Error {
	return &Error{Kind: kind, Grouping: grouping, Text: fmt.Sprintf(format, args...)}
}
