package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"sort"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/reckon"

	"github.com/spf13/cobra"
)

// reckonCommand holds a command for every calculator; alone it lists them by subject.
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
	for _, calc := range reckon.All() {
		c.AddCommand(calculatorCommand(a, calc))
	}
	return c
}

// listCalculators prints them by subject.
func (a *app) listCalculators() error {
	subject := ""
	for _, calc := range reckon.All() {
		if calc.Subject != subject {
			if subject != "" {
				fmt.Fprintln(a.env.Stdout)
			}
			subject = calc.Subject
			fmt.Fprintln(a.env.Stdout, subject)
		}
		fmt.Fprintf(a.env.Stdout, "  %-20s %s\n", calc.Name, calc.Says)
	}
	return nil
}

func calculatorCommand(a *app, calc reckon.Calculator) *cobra.Command {
	var asJSON bool
	said := map[string]*string{}
	c := &cobra.Command{Use: calc.Name, Short: calc.Says, Args: exactly(), Example: "  fairplot reckon " + calc.Name + exampleOf(calc)}
	for _, in := range calc.Inputs {
		said[in.Name] = c.Flags().String(in.Name, "", inputText(in))
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON")
	c.RunE = func(c *cobra.Command, _ []string) error {
		inputs := map[string]string{}
		for name, value := range said {
			if c.Flags().Changed(name) {
				inputs[name] = *value
			}
		}
		answer, err := reckon.Run(calc.Name, inputs)
		var wrong *reckon.Error
		if errors.As(err, &wrong) {
			return &garden.Error{Kind: garden.Invalid, Field: wrong.Field, Text: wrong.Text, Hint: wrong.Hint}
		}
		if err != nil {
			return err
		}
		return a.printAnswer(answer, asJSON)
	}
	return c
}

func exampleOf(calc reckon.Calculator) string {
	var names []string
	for name := range calc.Example {
		names = append(names, name)
	}
	sort.Strings(names)
	var b strings.Builder
	for _, name := range names {
		value := calc.Example[name]
		if strings.ContainsAny(value, " %&;()*'") {
			value = `"` + value + `"`
		}
		fmt.Fprintf(&b, " --%s %s", name, value)
	}
	return b.String()
}

// inputText says what an input is, in which unit a bare number is understood, and between which bounds it must lie.
func inputText(in reckon.Input) string {
	text := in.Says
	if in.Unit != "" {
		text += ", " + in.Unit
	}
	if in.Low != 0 || in.High != 0 {
		text += fmt.Sprintf(", %g to %g", in.Low, in.High)
	}
	if len(in.Words) > 0 {
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

func (a *app) printAnswer(answer reckon.Answer, asJSON bool) error {
	if asJSON {
		out, err := json.MarshalIndent(answer, "", "  ")
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(a.env.Stdout, "%s\n", out)
		return err
	}
	var b strings.Builder
	for _, r := range answer.Results {
		fmt.Fprintf(&b, "%s\n", r.Says)
	}
	b.WriteString("\n")
	for _, s := range answer.Steps {
		fmt.Fprintf(&b, "  %s\n", s)
	}
	fmt.Fprintf(&b, "\nSource: %s (%s)\n", strings.Join(answer.Source, "; "), answer.Status)
	for _, caution := range answer.Cautions {
		fmt.Fprintf(&b, "Caution: %s\n", caution)
	}
	_, err := fmt.Fprint(a.env.Stdout, b.String())
	return err
}
