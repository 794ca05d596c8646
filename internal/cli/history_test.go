package cli

import (
	"fmt"
	"testing"
	"time"

	"fairplot/internal/garden"
)

// change is one operation of a history: its number, and that of the one it undoes.
type change struct{ n, undoes, minute byte }

func TestLastEntry(t *testing.T) {
	for says, c := range map[string]struct {
		newest []change
		want   string
	}{
		"nothing":                             {nil, ""},
		"one entry of two changes":            {[]change{{3, 0, 2}, {2, 0, 2}, {1, 0, 1}}, "3 2"},
		"the last is undone, the one before":  {[]change{{3, 2, 3}, {2, 0, 2}, {1, 0, 1}}, "1"},
		"all are undone":                      {[]change{{3, 1, 4}, {4, 2, 3}, {2, 0, 2}, {1, 0, 1}}, ""},
		"an undo undone is the last entry":    {[]change{{4, 3, 4}, {3, 2, 3}, {2, 0, 2}, {1, 0, 1}}, "4"},
		"and undone once more it is none":     {[]change{{5, 4, 5}, {4, 3, 4}, {3, 2, 3}, {2, 0, 2}, {1, 0, 1}}, "1"},
		"an undo of what lies too far back":   {[]change{{9, 7, 5}, {1, 0, 1}}, "1"},
		"changes of one instant, half undone": {[]change{{4, 3, 3}, {3, 0, 2}, {2, 0, 2}}, "2"},
	} {
		var past []garden.Past
		for _, o := range c.newest {
			op := garden.Operation{ID: garden.ID{15: o.n}, Made: time.Date(2026, 7, 14, 9, int(o.minute), 0, 0, time.UTC)}
			op.Undoes[15] = o.undoes
			past = append(past, garden.Past{Operation: op})
		}
		got := ""
		for _, p := range lastEntry(past) {
			got += fmt.Sprint(p.Operation.ID[15], " ")
		}
		if got = trimmed(got); got != c.want {
			t.Errorf("%s: %q, want %q", says, got, c.want)
		}
	}
}

func trimmed(s string) string {
	if s == "" {
		return s
	}
	return s[:len(s)-1]
}
