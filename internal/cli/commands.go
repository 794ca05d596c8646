package cli

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/garden"
	"fairplot/internal/word"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// Cobra reads the command line: of the libraries at hand it alone brings completion for bash, zsh and fish, and lets names of
// beds and crops be completed from the book. It is known to this package only.

// commands lists every command in the order of the help.
func commands(a *app) []*cobra.Command {
	return slices.Concat(
		[]*cobra.Command{newCommand(a), demoCommand(a)},
		questionCommands(a),
		[]*cobra.Command{analyseCommand(a), reckonCommand(a)},
		recordCommands(a),
		[]*cobra.Command{
			sortOutCommand(a), undoCommand(a), historyCommand(a),
			importCommand(a), exportCommand(a), backupCommand(a), restoreCommand(a), serveCommand(a),
		},
	)
}

// The groups of commands in the help.
const (
	groupBook    = "book"
	groupRecords = "records"
	groupAsk     = "ask"
)

func (a *app) root() *cobra.Command {
	root := &cobra.Command{
		Use:   "fairplot",
		Short: "Record what is done in several gardens, and ask which practice made the difference",
		Long: "Fairplot keeps the diary of several small gardens in one file, the book, and answers from it which\n" +
			"practice raised the yield, with the interval that fits the records and the doubts that remain.",
		Example:       "  fairplot new garden.fairplot\n  fairplot harvest add --bed kitchen/1 --crop carrot --mass 2kg",
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs, // unknown commands are told by helpOrUnknown
		RunE:          helpOrUnknown,
	}
	root.SetIn(a.env.Stdin)
	root.SetOut(a.env.Stdout)
	root.SetErr(a.env.Stderr)
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return &usageError{text: fmt.Sprintf("%s; %s --help shows what there is", flagWords(err), c.CommandPath())}
	})
	root.PersistentFlags().StringVar(&a.bookFlag, "book", "", "the book; else FAIRPLOT_BOOK, else the only book in the folder")
	root.PersistentFlags().StringVar(&a.personFlag, "noted-by", "", "the person who notes it")
	if err := root.RegisterFlagCompletionFunc("noted-by", a.completeFrom(a.namesOf(garden.KindPerson))); err != nil {
		panic(err)
	}
	root.AddGroup(
		&cobra.Group{ID: groupAsk, Title: "Questions:"},
		&cobra.Group{ID: groupRecords, Title: "Records, each with add, list, show, change, remove:"},
		&cobra.Group{ID: groupBook, Title: "The book:"},
	)
	root.SetHelpCommandGroupID(groupBook)
	root.SetCompletionCommandGroupID(groupBook)
	root.AddCommand(commands(a)...)
	a.ownWords(root)
	return root
}

// ownWords says of the two commands that the library brings along what they do, as of all others.
func (a *app) ownWords(root *cobra.Command) {
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd(a.env.Args...)
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			c.Short, c.Example = "show what a command does", "  fairplot help harvest add"
		case "completion":
			c.Short, c.Example = "print the completion of commands and names for a shell", "  fairplot completion bash"
			for _, shell := range c.Commands() {
				shell.Short, shell.Example = "print the completion for "+shell.Name(), "  "+shell.CommandPath()
			}
		}
	}
}

// flagWords tells what is wrong with a flag, without the names of the functions that read it.
func flagWords(err error) string {
	var value *pflag.InvalidValueError
	if !errors.As(err, &value) {
		return err.Error()
	}
	wanted := "true or false"
	if value.GetFlag().Value.Type() == "int" {
		wanted = "a whole number"
	}
	return fmt.Sprintf("--%s: %q cannot be used, give %s", value.GetFlag().Name, value.GetValue(), wanted)
}

// helpOrUnknown is the run of commands that only hold others.
func helpOrUnknown(c *cobra.Command, args []string) error {
	if len(args) == 0 {
		return c.Help()
	}
	var known []string
	for _, sub := range c.Commands() {
		known = append(known, sub.Name())
	}
	return &usageError{text: fmt.Sprintf("%s has no command %q; %s", c.CommandPath(), args[0], word.Hint(args[0], known))}
}

// exactly asks for a number of operands, named as in the usage line.
func exactly(names ...string) cobra.PositionalArgs {
	return between(len(names), names...)
}

// between asks for at least so many of the operands named.
func between(least int, names ...string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return &usageError{text: fmt.Sprintf("%s: %s is missing; the usage is: %s", c.CommandPath(), names[len(args)], c.UseLine())}
		case len(args) > len(names):
			return &usageError{text: fmt.Sprintf("%s: what is %q? Texts with blanks go in quotation marks; the usage is: %s",
				c.CommandPath(), strings.Join(args[len(names):], " "), c.UseLine())}
		}
		return nil
	}
}
