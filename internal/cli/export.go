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
	kinds := slices.DeleteFunc(garden.Kinds(), func(k garden.Kind) bool { return len(s.records.List(k)) == 0 })
	tableFile := func(k garden.Kind) string { return filepath.Join(folder, string(k)+".csv") }
	for _, k := range kinds { // all of them first, so that no folder gets half of the book
		if _, err := os.Lstat(tableFile(k)); err == nil {
			return thereAlready(tableFile(k), nil)
		}
	}
	for _, k := range kinds {
		list := s.records.List(k)
		if err := writeFile(tableFile(k), exactTable(s, diary.Fields(k), list)); err != nil {
			return err
		}
		fmt.Fprintf(a.env.Stdout, "%s.csv: %s\n", k, counted(len(list), "line"))
	}
	return nil
}

func thereAlready(path string, cause error) error {
	return &garden.Error{Kind: garden.Refused, Text: path + " is there already", Hint: "choose another place or name, or move that file away; nothing is written over", Cause: cause}
}

// writeFile writes a table to a new file, and leaves none behind that is not whole.
func writeFile(path string, t table) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, os.ErrExist) {
		return thereAlready(path, err)
	}
	if err != nil {
		return &garden.Error{Kind: garden.ReadOnly, Text: path + " cannot be written", Hint: "choose another place", Cause: err}
	}
	if err := errors.Join(t.writeCSV(f), f.Close()); err != nil {
		return errors.Join(&garden.Error{Kind: garden.Full, Text: path + " cannot be written in full", Hint: "is the disk full? make room, or choose another place", Cause: err}, os.Remove(path))
	}
	return nil
}
