package cli

import (
	"bufio"
	"fmt"
	"maps"
	"strconv"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// mostRounds bounds how often one entry is asked back: more would be a question that its own answer raises.
const mostRounds = 8

// decide hands a draft to the diary, asks what the diary asks, and keeps what comes of it.
func (a *app) decide(d diary.Draft) error {
	want := garden.Want{Kinds: diary.Needs(d.Kind)}
	if d.Action == diary.Add {
		want.Kinds = diary.NeedsToAdd(d.Kind)
	}
	s, err := a.read(want)
	if err != nil {
		return err
	}
	c, err := a.context(s)
	if err != nil {
		return err
	}
	out, err := a.converse(c, d)
	if err != nil {
		return err
	}
	return a.keep(s, out)
}

// converse goes back and forth until nothing is left to ask.
func (a *app) converse(c diary.Context, d diary.Draft) (diary.Outcome, error) {
	for range mostRounds {
		out, err := diary.Understand(c, d)
		if err != nil || len(out.Questions) == 0 {
			return out, err
		}
		if !a.env.Terminal {
			return out, a.unanswered(d, out.Questions)
		}
		for _, q := range out.Questions {
			answer, err := a.ask(q)
			if err != nil {
				return out, err
			}
			d = answered(d, q.Field, answer)
		}
	}
	return diary.Outcome{}, &garden.Error{Kind: garden.Invalid, Text: "it is still not clear what is meant", Hint: "write it in full, with flags"}
}

func answered(d diary.Draft, field, text string) diary.Draft {
	if field == "target" {
		d.Target = text
		return d
	}
	d.Fields = maps.Clone(d.Fields)
	if d.Fields == nil {
		d.Fields = map[string]string{}
	}
	d.Fields[field] = text
	return d
}

// unanswered prints the questions where nobody sits who could answer, with the flags that would.
func (a *app) unanswered(d diary.Draft, questions []diary.Question) error {
	for _, q := range questions {
		a.words("fairplot: %s: %s", q.Field, q.Asks)
		for _, choice := range q.Choices {
			if q.Field == "target" {
				a.words("  fairplot %s %s %s   (%s)", d.Kind, d.Action, shellQuoted(choice.Text), choice.Says)
				continue
			}
			a.words("  --%s %s   (%s)", q.Field, shellQuoted(choice.Text), choice.Says)
		}
	}
	a.words("nothing was noted; say which and try again")
	return &toldError{status: couldNot}
}

// ask puts one question on the terminal: a number picks a choice, anything else is taken as written.
func (a *app) ask(q diary.Question) (string, error) {
	a.words("%s", q.Asks)
	for i, choice := range q.Choices {
		a.words("  %d  %s", i+1, choice.Says)
	}
	fmt.Fprint(a.env.Stderr, "> ")
	line, err := a.line()
	if err != nil {
		return "", &garden.Error{Kind: garden.Refused, Text: "there was no answer", Hint: "nothing was noted; try again"}
	}
	if n, err := strconv.Atoi(line); err == nil && n >= 1 && n <= len(q.Choices) {
		return q.Choices[n-1].Text, nil
	}
	return line, nil
}

// line reads one line of standard input.
func (a *app) line() (string, error) {
	if a.lines == nil {
		a.lines = bufio.NewReader(a.env.Stdin)
	}
	line, err := a.lines.ReadString('\n')
	if line = strings.TrimSpace(line); line != "" {
		return line, nil
	}
	if err == nil {
		err = fmt.Errorf("an empty line")
	}
	return "", err
}

// keep applies the operations and says what was understood. The id of what was noted goes to standard output.
func (a *app) keep(s *session, out diary.Outcome) error {
	for _, text := range out.Flags {
		a.words("note: %s", text)
	}
	if len(out.Operations) == 0 {
		for _, text := range out.Said {
			a.words("%s", text)
		}
		return nil
	}
	receipts, err := s.book.CopyIn(a.ctx, out.Operations, nil)
	if err != nil {
		return a.refusedBecause(err, receipts)
	}
	for _, text := range out.Said {
		a.words("%s", text)
	}
	last := out.Operations[len(out.Operations)-1]
	if last.Action != garden.Remove {
		fmt.Fprintln(a.env.Stdout, diary.Short(last.Record))
	}
	return nil
}

// refusedBecause tells why the book did not take operations, from the first receipt that says so.
func (a *app) refusedBecause(err error, receipts []garden.Receipt) error {
	for _, r := range receipts {
		switch {
		case r.Outcome == garden.RefusedOut && r.Says != "":
			return &garden.Error{Kind: garden.Refused, Text: "the book does not take it: " + r.Says, Hint: "nothing was changed", Cause: err}
		case r.Outcome == garden.Clashed:
			return &garden.Error{Kind: garden.Conflict, Text: r.Says, Hint: "look at it again and repeat the change", Cause: err}
		}
	}
	return err
}
