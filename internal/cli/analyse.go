package cli

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"fairplot/internal/evidence"
	"fairplot/internal/garden"
	"fairplot/internal/intake"
	"fairplot/internal/report"

	"github.com/spf13/cobra"
)

// analyseCommand analyses any table of plots; it needs no book.
func analyseCommand(a *app) *cobra.Command {
	var p evidence.Plain
	var f format
	confidence := ""
	c := &cobra.Command{
		Use: "analyse PLOTS.csv", Short: "analyse any table of plots: mixed models, adjusted means and differences", GroupID: groupAsk, Args: exactly("PLOTS.csv"),
		Long: "Formulae are in the notation of Wilkinson and Rogers (1973): + * : / - ( ) and 1; names with other characters than letters, digits,\n" +
			"points and underscores stand in backquotes. --blocks lists the groupings whose effects are random: rep/plot is rep and plots within rep.",
		Example: "  fairplot analyse oats.csv --response yield --treatments 'nitro*variety' --blocks 'block/variety' --categories nitro",
		RunE: func(_ *cobra.Command, args []string) error {
			if confidence != "" {
				share, err := readShare("confidence", confidence)
				if err != nil {
					return err
				}
				p.Confidence = share
			}
			return a.analyse(args[0], p, f)
		},
	}
	flags := c.Flags()
	flags.StringVar(&p.Response, "response", "", "the column that is explained")
	flags.StringVar(&p.Treatments, "treatments", "", "the formula of what was done")
	flags.StringVar(&p.Blocks, "blocks", "", "the formula of the groupings whose effects are random")
	flags.StringVar(&p.Categories, "categories", "", "number columns to be read as categories, commas between")
	flags.StringArrayVar(&p.References, "reference", nil, "COLUMN=LEVEL: the level that others are set against")
	flags.BoolVar(&p.Log, "log", false, "analyse the logarithm of the response; effects are then ratios")
	flags.StringArrayVar(&p.Compare, "compare", nil, "a factor, or A:B for the cells of two; else every categorical treatment factor")
	flags.StringVar(&p.Against, "against", "", "each level against this one, not all pairs")
	flags.StringVar(&p.Adjust, "adjust", "", "tukey, dunnett, holm or none; else dunnett with --against, tukey without")
	flags.StringVar(&p.DF, "df", "", "kenward-roger or satterthwaite; else kenward-roger")
	flags.StringVar(&confidence, "confidence", "", "how sure the intervals are to be, such as 0.95 or 95%")
	flags.Uint64Var(&p.Seed, "seed", 0, "the seed of what can only be sampled")
	flags.StringVar(&p.Weights, "weights", "", "a column of weights: the spread of a row falls with its weight")
	flags.BoolVar(&p.Randomisation, "randomisation", false, "also test each factor by its own randomisation, within the groupings of --blocks")
	f.flags(c)
	return c
}

// analyse reads the table, runs the analysis and prints it.
func (a *app) analyse(name string, p evidence.Plain, f format) error {
	data, err := a.readInput(name)
	if err != nil {
		return err
	}
	t, err := intake.ReadTable(filepath.Base(name), data, intake.Options{})
	if err != nil {
		return err
	}
	if t, err = t.PlainDecimals(); err != nil {
		return err
	}
	result, err := evidence.Analyse(t.Header, t.Rows, t.Lines, p)
	if err != nil {
		return err
	}
	if f.json {
		out, err := json.MarshalIndent(result, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(a.env.Stdout, "%s\n", out)
		return err
	}
	tables := evidence.AnalysedTables(result)
	if f.csv {
		last := tables[len(tables)-1]
		for _, t := range tables {
			if t.Title == "Differences" {
				last = t
			}
		}
		out := table{rows: last.Rows}
		for _, c := range last.Columns {
			out.head = append(out.head, report.Head(c))
		}
		return a.print(out, f)
	}
	return a.printAnalysis(result, t.Header)
}

func (a *app) printAnalysis(r evidence.Analysed, _ []string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%d rows analysed by %s", r.Rows, r.Method)
	if r.LeftOut > 0 {
		fmt.Fprintf(&b, ", %d without a response left out", r.LeftOut)
	}
	if r.Scale == "log" {
		b.WriteString(", on the logarithm")
	}
	b.WriteString(".\n")
	for _, t := range evidence.AnalysedTables(r) {
		fmt.Fprintf(&b, "\n%s\n%s", t.Title, report.Columns(t, "  "))
	}
	for _, d := range r.Doubts {
		fmt.Fprintf(&b, "\nDoubt: %s (%s)\n", d.Says, d.Code)
	}
	_, err := io.WriteString(plainly{a.env.Stdout}, b.String())
	return err
}

// readInput reads a file, or standard input for "-".
func (a *app) readInput(name string) ([]byte, error) {
	if name == "-" {
		return io.ReadAll(a.env.Stdin)
	}
	data, err := os.ReadFile(a.path(name))
	if err != nil {
		return nil, &garden.Error{Kind: garden.Missing, Text: "the file " + name + " cannot be read", Hint: "check its name and that you may read it", Cause: err}
	}
	return data, nil
}
