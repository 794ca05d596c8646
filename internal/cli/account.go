package cli

import (
	"fmt"
	"io"
	"strings"
)

// account is what is told of an import, line by line.
type account struct {
	file   string
	wrong  tally // lines that cannot be taken
	doubts tally // taken, with a question beside them
	said   tally // what was made or passed over on the way

	swapped string // two columns that look exchanged

	lines, added, changed, had, repeated, removed int
}

// tally keeps the first few lines of a list, and counts them all. Lines that say the same are told once.
type tally struct {
	shown []remark
	at    map[string]int
	count int
}

type remark struct {
	line  int
	says  string
	times int
}

// mostShown is how many lines of one sort are written out.
const mostShown = 20

func (t *tally) add(line int, says string) {
	t.count++
	if i, ok := t.at[says]; ok {
		t.shown[i].times++
		return
	}
	if len(t.shown) == mostShown {
		return
	}
	if t.at == nil {
		t.at = map[string]int{}
	}
	t.at[says] = len(t.shown)
	t.shown = append(t.shown, remark{line: line, says: says, times: 1})
}

func (t *tally) write(w io.Writer, file, head string) {
	if t.count == 0 {
		return
	}
	told := 0
	fmt.Fprintf(w, "%s: %s\n", file, head)
	for _, r := range t.shown {
		told += r.times
		more := ""
		if r.times > 1 {
			more = fmt.Sprintf(" (and %d more lines alike)", r.times-1)
		}
		fmt.Fprintf(w, "  line %d: %s%s\n", r.line, r.says, more)
	}
	if rest := t.count - told; rest > 0 {
		fmt.Fprintf(w, "  and %s more\n", counted(rest, "line"))
	}
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%s %ss", grouped(n), what)
}

// grouped sets thousands apart, for people.
func grouped(n int) string {
	s := fmt.Sprint(n)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}

// summary says in one line what became of the file.
func (a *account) summary(dry bool) string {
	verb := func(n int, done, would string) string {
		if dry {
			return fmt.Sprintf("%s %s", grouped(n), would)
		}
		return fmt.Sprintf("%s %s", grouped(n), done)
	}
	parts := []string{verb(a.added, "added", "to add")}
	if a.changed > 0 {
		parts = append(parts, verb(a.changed, "changed", "to change"))
	}
	if a.had > 0 {
		parts = append(parts, fmt.Sprintf("%s in the book already", grouped(a.had)))
	}
	if a.removed > 0 {
		parts = append(parts, fmt.Sprintf("%s removed before", grouped(a.removed)))
	}
	if a.repeated > 0 {
		parts = append(parts, fmt.Sprintf("%s repeated in the file and taken once", grouped(a.repeated)))
	}
	return fmt.Sprintf("%s: %s: %s", a.file, counted(a.lines, "line"), strings.Join(parts, ", "))
}
