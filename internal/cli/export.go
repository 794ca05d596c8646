package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/word"

	"github.com/spf13/cobra"
)

func exportCommand(a *app) *cobra.Command {
	folder := ""
	f := format{csv: true}
	c := &cobra.Command{
		Use: "export NOUN | --all FOLDER", Short: "write a table, or all of them: an import brings back the same records", GroupID: groupBook,
		Example: "  fairplot export harvest > harvest.csv\n  fairplot export harvest --json\n  fairplot export --all tables/",
		Args:    between(0, "NOUN"), ValidArgs: kindWords(),
		RunE: func(_ *cobra.Command, args []string) error {
			switch {
			case folder != "" && len(args) == 0:
				return a.exportFolder(folder)
			case folder != "" || len(args) == 0:
				return &usageError{text: "export takes either a NOUN or --all FOLDER"}
			case !slices.Contains(kindWords(), args[0]):
				return &usageError{text: fmt.Sprintf("export: there are no entries of the kind %q; %s", args[0], word.Hint(args[0], kindWords()))}
			}
			s, err := a.read(garden.Want{Kinds: diary.Needs(garden.Kind(args[0]))})
			if err != nil {
				return err
			}
			t, err := tableOf(s, garden.Kind(args[0]), s.records.List(garden.Kind(args[0])), f)
			if err != nil {
				return err
			}
			return a.print(t, f)
		},
	}
	c.Flags().StringVar(&folder, "all", "", "the folder to write every table to")
	c.Flags().BoolVar(&f.json, "json", false, "print JSON instead of CSV")
	return c
}

// exportFolder writes NOUN.csv for every kind that the book has records of. A table that is there already is not written over.
func (a *app) exportFolder(name string) error {
	s, err := a.read(garden.Want{})
	if err != nil {
		return err
	}
	folder := a.path(name)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return &garden.Error{Kind: garden.ReadOnly, Text: "the folder " + name + " cannot be made", Hint: "choose another place", Cause: err}
	}
	for _, k := range garden.Kinds() {
		list := s.records.List(k)
		if len(list) == 0 {
			continue
		}
		if err := writeFile(filepath.Join(folder, string(k)+".csv"), exactTable(s, diary.Fields(k), list)); err != nil {
			return err
		}
		fmt.Fprintf(a.env.Stdout, "%s.csv: %s\n", k, counted(len(list), "line"))
	}
	return nil
}

func writeFile(path string, t table) (err error) {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, os.ErrExist) {
		return &garden.Error{Kind: garden.Refused, Text: path + " is there already", Hint: "export to an empty folder, or move that file away", Cause: err}
	}
	if err != nil {
		return &garden.Error{Kind: garden.ReadOnly, Text: path + " cannot be written", Hint: "choose another place", Cause: err}
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return t.writeCSV(f)
}
