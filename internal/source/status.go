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

// brief are the marks as they stand behind a figure: nothing behind one that was read where it was first published.
var brief = map[Status]string{YourOwn: "your own", Computed: "computed", SecondHand: "second-hand", Reprinted: "reprint", Derived: "derived here", FromMemory: "from memory"}

// Behind returns the source and the mark in a word, as they stand in brackets behind a figure: "NRM2017, second-hand".
func (s Status) Behind(source string) string {
	if b := brief[s]; b != "" {
		return source + ", " + b
	}
	return source
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
	for _, next := range []string{s.Title, s.Publisher} {
		if next != "" {
			b.WriteString(stop(b.String()) + next)
		}
	}
	return b.String()
}

// stop parts two pieces of a reference: initials bring their own stop.
func stop(before string) string {
	switch {
	case before == "":
		return ""
	case strings.HasSuffix(before, "."):
		return " "
	}
	return ". "
}
