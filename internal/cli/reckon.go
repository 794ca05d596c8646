package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/reckon"

	"github.com/spf13/cobra"
)

// reckonCommand holds a command for every calculator; alone it lists them by subject. The calculators' flags are made only when
// somebody reckons: no other command should wait for them.
func reckonCommand(a *app) *cobra.Command {
	c := &cobra.Command{
		Use: "reckon", Short: "work out one number by hand, with its steps and its source", GroupID: groupAsk,
		Example: "  fairplot reckon\n  fairplot reckon day-length --latitude 51.3 --date 2026-06-21",
		Args:    cobra.ArbitraryArgs,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) > 0 {
				return helpOrUnknown(c, args)
			}
			return a.listCalculators()
		},
	}
	if !a.mentions(c.Name()) {
		return c
	}
	for _, calc := range reckon.All() {
		c.AddCommand(calculatorCommand(a, calc))
	}
	return c
}

// listCalculators prints them by subject.
func (a *app) listCalculators() error {
	var b strings.Builder
	subject := ""
	for _, calc := range reckon.All() {
		if calc.Subject != subject {
			if subject != "" {
				b.WriteString("\n")
			}
			subject = calc.Subject
			b.WriteString(subject + "\n")
		}
		fmt.Fprintf(&b, "  %-20s %s\n", calc.Name, calc.Says)
	}
	_, err := fmt.Fprint(a.env.Stdout, b.String())
	a.words("\nfairplot reckon NAME --help shows what one asks for, with an example")
	return err
}

func calculatorCommand(a *app, calc reckon.Calculator) *cobra.Command {
	var asJSON bool
	said := map[string]*written{}
	c := &cobra.Command{
		Use: calc.Name, Short: calc.Says, Args: exactly(), Example: exampleOf(calc),
		Long: strings.ToUpper(calc.Says[:1]) + calc.Says[1:] + ".\n\n" +
			"A bare number is understood in the unit named beside the input; any other unit of the kind may be written behind the number." +
			longChoices(calc),
	}
	c.Flags().SortFlags = false
	for _, in := range calc.Inputs {
		said[in.Name] = &written{holds: holds(in)}
		c.Flags().Var(said[in.Name], in.Name, inputText(in))
		if in.Kind == reckon.Word {
			words := cobra.FixedCompletions(in.Words, cobra.ShellCompDirectiveNoFileComp)
			cobra.CheckErr(c.RegisterFlagCompletionFunc(in.Name, words))
		}
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	c.RunE = func(c *cobra.Command, _ []string) error {
		inputs := map[string]string{}
		for name, value := range said {
			if c.Flags().Changed(name) {
				inputs[name] = value.text
			}
		}
		answer, err := reckon.Run(calc.Name, inputs)
		if err != nil {
			return fromReckon(err)
		}
		return a.printReckoned(answer, asJSON)
	}
	return c
}

// fromReckon makes a sentence about an input one about a flag.
func fromReckon(err error) error {
	var wrong *reckon.Error
	if errors.As(err, &wrong) {
		return &garden.Error{Kind: garden.Invalid, Field: wrong.Field, Text: wrong.Text, Hint: wrong.Hint}
	}
	return err
}

// exampleOf is the calculator's own example as a command line; a test runs each as it is printed.
func exampleOf(calc reckon.Calculator) string {
	line := "  fairplot reckon " + calc.Name
	for _, name := range slices.Sorted(maps.Keys(calc.Example)) {
		line += " --" + name + " " + shellQuoted(calc.Example[name])
	}
	return line
}

// written is the text of a flag beside whose name the help shows what it holds.
type written struct{ text, holds string }

func (w *written) Set(text string) error { w.text = text; return nil }
func (w *written) String() string        { return w.text }
func (w *written) Type() string          { return w.holds }

// inputText says what an input is, and between which bounds it must lie.
func inputText(in reckon.Input) string {
	text := in.Says
	if in.Low != 0 || in.High != 0 {
		text += ", " + boundsOf(in)
	}
	switch {
	case len(in.Words) > mostBeside:
		text += ", one of the words above"
	case len(in.Words) > 0:
		text += ": " + strings.Join(in.Words, ", ")
	}
	switch {
	case in.Default != "":
		text += " (else " + in.Default + ")"
	case in.Optional:
		text += " (may be left out)"
	}
	return text
}

// mostBeside is how many words a flag names beside itself; more stand above the flags.
const mostBeside = 12

// longChoices lists the words of inputs that have many.
func longChoices(calc reckon.Calculator) string {
	text := ""
	for _, in := range calc.Inputs {
		if len(in.Words) > mostBeside {
			text += "\n\nThe words for --" + in.Name + ":" + wrapped(in.Words, 96)
		}
	}
	return text
}

// wrapped sets words in lines of at most the width, apart by semicolons, since some hold commas.
func wrapped(words []string, width int) string {
	var b strings.Builder
	at := width
	for i, w := range words {
		if i < len(words)-1 {
			w += ";"
		}
		if at+1+len(w) > width {
			b.WriteString("\n ")
			at = 1
		}
		b.WriteString(" " + w)
		at += 1 + len(w)
	}
	return b.String()
}

// holds is the unit in which a bare number is understood, or the kind where there is none.
func holds(in reckon.Input) string {
	if in.Unit != "" {
		return in.Unit
	}
	return string(in.Kind)
}

// hardlyAny is a lower bound that only keeps out zero.
const hardlyAny = 1e-3

// boundsOf writes the bounds as the input is written: shares in per cent.
func boundsOf(in reckon.Input) string {
	low, high, unit := in.Low, in.High, ""
	if in.Kind == reckon.Share {
		low, high, unit = 100*low, 100*high, " %"
	}
	if low > 0 && low <= hardlyAny {
		return "above 0, at most " + plainNumber(high) + unit
	}
	return plainNumber(low) + " to " + plainNumber(high) + unit
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func (a *app) printReckoned(answer reckon.Answer, asJSON bool) error {
	if asJSON {
		out, err := json.MarshalIndent(answer, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(a.env.Stdout, "%s\n", out)
		return err
	}
	_, err := fmt.Fprint(a.env.Stdout, reckonedText(answer))
	return err
}

// reckonedText is the answer as one would write it on paper: the numbers first, then how they came about.
func reckonedText(answer reckon.Answer) string {
	var b strings.Builder
	for _, r := range answer.Results {
		fmt.Fprintf(&b, "%s: %s: %s\n", strings.ReplaceAll(r.Name, "-", " "), r.Amount(), r.Says)
	}
	b.WriteString("\n")
	for _, s := range answer.Steps {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	b.WriteString("\n")
	for _, s := range answer.Source {
		fmt.Fprintf(&b, "Source: %s\n", s)
	}
	fmt.Fprintf(&b, "Checked: %s\n", answer.Checked)
	for _, caution := range answer.Cautions {
		fmt.Fprintf(&b, "Caution: %s\n", caution)
	}
	return b.String()
}
