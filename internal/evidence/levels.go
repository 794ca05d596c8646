package evidence

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/word"
)

// spelled returns the question with its levels written as the records have them. It errs on a level that nobody used.
func (l ledger) spelled(q Question) (Question, error) {
	if len(q.Levels) == 0 && q.Against == "" {
		return q, nil
	}
	have := l.levels(q.What)
	named := slices.Clone(q.Levels)
	for i := range named {
		found, err := spell(named[i], have, q.What)
		if err != nil {
			return q, err
		}
		named[i] = found
	}
	q.Levels = named
	if q.Against != "" {
		found, err := spell(q.Against, have, q.What)
		if err != nil {
			return q, err
		}
		q.Against = found
	}
	return q, nil
}

// levels lists the levels of a practice that plantings have.
func (l ledger) levels(what practice.Name) []string {
	seen := map[string]bool{}
	var out []string
	for _, p := range l.planted {
		if w, _, why := levelOf(p, what, l.Usual); why == "" && !seen[w] {
			seen[w] = true
			out = append(out, w)
		}
	}
	slices.SortFunc(out, natural)
	return out
}

func spell(level string, have []string, what practice.Name) (string, error) {
	for _, h := range have {
		if word.Fold(h) == word.Fold(level) {
			return h, nil
		}
	}
	hint := "the book has " + strings.Join(have, ", ")
	if near := word.Near(level, have); len(near) > 0 {
		hint = "did you mean " + strings.Join(near, " or ") + "?"
	} else if len(have) == 0 {
		hint = "no planting has a known level of it yet"
	}
	return "", &garden.Error{Kind: garden.Missing, Field: "level", Text: fmt.Sprintf("nothing was grown with %s %q", what, level), Hint: hint}
}
