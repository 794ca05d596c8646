package source

import (
	"fmt"
	"strings"
)

// The marks, from the surest to the least sure.
const (
	Recomputed  Status = "VC" // read in the source and recomputed here to the printed digits
	Read        Status = "V"  // read in the text of the source itself
	Computed    Status = "C"  // computed here from figures that were read in their sources
	SecondHand  Status = "V2" // read in a text that quotes the source
	Reprinted   Status = "L"  // read in a public data file, library or reprint that names the source
	Derived     Status = "D"  // derived here, published nowhere
	FromMemory  Status = "M"  // from memory, not checked
	YourOwn     Status = "own"
	NoPublished Status = "" // common practice without a source
)

var says = []struct {
	mark Status
	text string
}{
	{Recomputed, "read in the source and recomputed here to the printed digits"},
	{Read, "read in the source itself"},
	{YourOwn, "your own figure"},
	{Computed, "computed here from figures read in their sources"},
	{SecondHand, "read in a text that quotes the source"},
	{Reprinted, "read in a data file or reprint that names the source"},
	{Derived, "derived here, published nowhere"},
	{NoPublished, "common practice"},
	{FromMemory, "from memory, not checked"},
}

// Says returns what the mark means.
func (s Status) Says() string {
	for _, m := range says {
		if m.mark == s {
			return m.text
		}
	}
	return "not marked"
}

// Doubt ranks the marks: 0 is the surest.
func (s Status) Doubt() int {
	for i, m := range says {
		if m.mark == s {
			return i
		}
	}
	return len(says)
}

// Cite returns the work as a list of references prints it.
func (s Source) Cite() string {
	var b strings.Builder
	b.WriteString(s.Authors)
	if s.Year != 0 {
		fmt.Fprintf(&b, " (%d)", s.Year)
	}
	if s.Title != "" {
		b.WriteString(". " + s.Title)
	}
	if s.Publisher != "" {
		b.WriteString(". " + s.Publisher)
	}
	return b.String()
}
