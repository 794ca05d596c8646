package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"

	"fairplot/internal/ask"
	"fairplot/internal/demo"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

// demoCommand makes a book of an invented grower and asks it three questions.
func demoCommand(a *app) *cobra.Command {
	return &cobra.Command{
		Use: "demo [FILE]", Short: "make a book of invented records and ask it three questions", GroupID: groupBook, Args: between(0, "FILE"),
		Long: "The gardens, the grower, the weights and the weather of the demo are made up, with effects that are known: digging two spits deep\n" +
			"really makes 1.28 times the yield of undug ground there, and spacing next to nothing.",
		Example: "  fairplot demo\n  fairplot demo trial.fairplot",
		RunE: func(_ *cobra.Command, args []string) error {
			path, err := a.demoPath(args)
			if err != nil {
				return err
			}
			return a.demo(path)
		},
	}
}

// demoPath is the file named, else one in a new folder among the system's temporary files.
func (a *app) demoPath(args []string) (string, error) {
	if len(args) > 0 {
		return args[0], nil
	}
	folder, err := os.MkdirTemp("", "fairplot-demo-")
	if err != nil {
		return "", &garden.Error{Kind: garden.ReadOnly, Text: "no temporary folder can be made", Hint: "name a file: fairplot demo FILE", Cause: err}
	}
	return filepath.Join(folder, "demo"+extension), nil
}

// demoQuestions are three questions with answers of different verdicts.
var demoQuestions = []ask.Call{
	{Subject: "cultivation"},
	{Subject: "spacing", Said: map[string]string{"gardens": "terrace,orchard"}},
	{Subject: "cultivation", Said: map[string]string{"gardens": "lane,hill"}},
}

func (a *app) demo(path string) error {
	if err := a.makeDemo(path); err != nil {
		return err
	}
	out := a.env.Stdout
	fmt.Fprintf(out, "An invented grower: five gardens, fifty beds, four seasons. The book is %s\n", a.opened.Path())
	compare, _ := ask.Find("compare")
	for _, call := range demoQuestions {
		fmt.Fprintf(out, "\n$ fairplot compare %s%s\n\n", call.Subject, saidAs(call.Said))
		if err := a.answer(compare, call, "", format{}); err != nil {
			return err
		}
	}
	fmt.Fprintf(out, "\nTry next, with --book %s:\n  fairplot tally --season 2025\n  fairplot compare compost\n  fairplot compare gardens --per ground\n  fairplot planting list --bed terrace/4\n  fairplot serve\n", a.opened.Path())
	return nil
}

func saidAs(said map[string]string) string {
	s := ""
	for name, value := range said {
		s += " --" + name + " " + value
	}
	return s
}

// makeDemo makes the book and brings the tables in by the same door as anybody's.
func (a *app) makeDemo(path string) error {
	out, words := a.env.Stdout, a.env.Stderr
	a.env.Stdout, a.env.Stderr = io.Discard, io.Discard
	defer func() { a.env.Stdout, a.env.Stderr = out, words }()
	if err := a.makeBook(path, nil); err != nil {
		return err
	}
	folder, err := os.MkdirTemp("", "fairplot-tables-")
	if err != nil {
		return err
	}
	defer func() { _ = os.RemoveAll(folder) }() // what cannot be removed is the system's to clear
	if err := os.CopyFS(folder, demo.Tables()); err != nil {
		return fmt.Errorf("laying out the tables of the demo: %w", err)
	}
	return a.importAll([]string{folder}, importOptions{})
}
