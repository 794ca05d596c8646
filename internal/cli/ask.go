package cli

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"

	"fairplot/internal/ask"
	"fairplot/internal/civil"
	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/report"
	"fairplot/internal/unit"

	"github.com/spf13/cobra"
	"golang.org/x/term"
)

// questionCommands makes a command of every question in the registry, flags and all.
func questionCommands(a *app) []*cobra.Command {
	var out []*cobra.Command
	for _, q := range ask.All() {
		out = append(out, questionCommand(a, q))
	}
	return out
}

func questionCommand(a *app, q ask.Question) *cobra.Command {
	var plots string
	var f format
	said := map[string]*string{}
	c := &cobra.Command{Use: strings.TrimSpace(q.Name + " " + q.Subject), Short: strings.ToLower(q.Head[:1]) + q.Head[1:], GroupID: groupAsk, Args: exactly(), Example: "  fairplot " + q.Example}
	if q.Subject != "" {
		c.Args = between(1, q.Subject)
		c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			var words []string
			for _, n := range evidence.Practices() {
				words = append(words, strings.ReplaceAll(string(n), " ", "-"))
			}
			return words, cobra.ShellCompDirectiveNoFileComp
		}
	}
	for _, arg := range q.Arguments {
		if arg.Switch {
			c.Flags().Bool(arg.Name, false, arg.Says)
			said[arg.Name] = nil
			continue
		}
		said[arg.Name] = c.Flags().String(arg.Name, "", arg.Says+", such as "+arg.Example)
		if err := c.RegisterFlagCompletionFunc(arg.Name, a.completeArgument(arg.Name)); err != nil {
			panic(err)
		}
	}
	if q.Counted {
		c.Flags().StringVar(&plots, "table", "", "also write the table of plots behind the answer to this CSV file")
	}
	f.flags(c)
	c.RunE = func(c *cobra.Command, args []string) error {
		call := ask.Call{Said: map[string]string{}}
		if len(args) > 0 {
			call.Subject = args[0]
		}
		for name, value := range said {
			if value == nil {
				call.Said[name] = c.Flags().Lookup(name).Value.String()
				continue
			}
			call.Said[name] = *value
		}
		return a.answer(q, call, plots, f)
	}
	return c
}

// A question's working space. A page of memory that was never touched costs as much as collecting hundreds of old ones, so garbage is taken up early; near
// the limit the collector works as hard as it must. 200,000 entries are answered in less.
const (
	askingSpace   = 92 << 20
	askingGarbage = 200 // % of what is in use
)

// answer asks the question of the book and prints what came of it.
func (a *app) answer(q ask.Question, call ask.Call, plots string, f format) error {
	defer debug.SetMemoryLimit(debug.SetMemoryLimit(askingSpace))
	defer debug.SetGCPercent(debug.SetGCPercent(askingGarbage))
	b, err := a.open()
	if err != nil {
		return err
	}
	if call.Records, err = b.Read(a.ctx, garden.Want{Kinds: q.Reads(call)}); err != nil {
		return err
	}
	call.Setup = ask.Setup(call.Records, civil.FromTime(a.env.Now()))
	canonical, err := ask.Canonical(q, call)
	if err != nil {
		return err
	}
	if canonical != "" {
		if call.Setup.Asked, err = b.Asked(a.ctx, canonical); err != nil {
			return err
		}
	}
	reply, err := q.Run(call)
	if err != nil {
		return err
	}
	if plots != "" {
		if err := a.writePlots(plots, &reply); err != nil {
			return err
		}
	}
	return a.printFinding(reply.Finding, f)
}

// writePlots writes the table of plots and puts its name into the call that repeats the answer.
func (a *app) writePlots(name string, reply *ask.Reply) error {
	if len(reply.Plots.Header) == 0 {
		return &garden.Error{Kind: garden.Missing, Field: "table", Text: "there is no table behind this answer", Hint: "nothing could be fitted; ask without --table to see why"}
	}
	if err := writeFile(a.path(name), table{head: reply.Plots.Header, rows: reply.Plots.Rows}); err != nil {
		return err
	}
	if m := reply.Finding.Model; m != nil {
		m.Analyse = strings.ReplaceAll(m.Analyse, evidence.PlotsFile, filepath.Base(name))
	}
	return nil
}

func (a *app) printFinding(f finding.Finding, how format) error {
	switch {
	case how.json:
		out, err := json.MarshalIndent(f, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(a.env.Stdout, "%s\n", out)
		return err
	case how.csv:
		return a.print(estimatesOf(f), how)
	}
	_, err := fmt.Fprint(plainly{a.env.Stdout}, report.Text(f, a.width()))
	return err
}

// estimatesOf is the table of a finding: its estimates, or its first table where it has none.
func estimatesOf(f finding.Finding) table {
	if len(f.Estimates) == 0 && len(f.Tables) > 0 {
		t := table{rows: f.Tables[0].Rows}
		for _, c := range f.Tables[0].Columns {
			t.head = append(t.head, report.Head(c))
		}
		return t
	}
	t := table{head: []string{"of", "a", "b", "kind", "value", "low", "high", "confidence", "verdict"}}
	for _, e := range f.Estimates {
		t.rows = append(t.rows, []string{e.Of, e.A, e.B, string(e.Kind), fmt.Sprint(e.Value), optional(e.Low), optional(e.High), fmt.Sprint(e.Confidence), string(e.Verdict)})
	}
	return t
}

func optional(x *float64) string {
	if x == nil {
		return ""
	}
	return fmt.Sprint(*x)
}

// width is that of the terminal, or 80 where there is none.
func (a *app) width() int {
	if out, ok := a.env.Stdout.(*os.File); ok {
		if w, _, err := term.GetSize(int(out.Fd())); err == nil {
			return min(w, 110)
		}
	}
	return 80
}

// readShare reads a share given as 0.95 or 95 %.
func readShare(field, text string) (float64, error) {
	share, err := unit.ParseShare(text, unit.NoDefault)
	if err != nil {
		return 0, &garden.Error{Kind: garden.Invalid, Field: field, Text: fmt.Sprintf("%q is no share", text), Hint: "write 0.95 or 95%", Cause: err}
	}
	return share, nil
}
