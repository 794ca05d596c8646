package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/intake"
	"fairplot/internal/word"

	"github.com/spf13/cobra"
)

// importOptions are what a file cannot say of itself.
type importOptions struct {
	dry, decimals, keepRepeats bool
	mark, sheet                string
	ignore                     []string
}

func importCommand(a *app) *cobra.Command {
	var o importOptions
	c := &cobra.Command{
		Use: "import NOUN FILE | FOLDER", Short: "bring in a table, or a folder of them: all of it or nothing", GroupID: groupBook,
		Long: "The first line of a table names its columns as the flags of add are named, in any order; “mass (kg)” gives the unit of bare\n" +
			"numbers. CSV with comma, semicolon or tab, and XLSX, are read. A folder holds one table for each kind, named after it:\n" +
			"harvest.csv, planting.csv. If any line is wrong, nothing is taken and each wrong line is told with how to mend it.\n" +
			"The same file a second time adds nothing. What a phone could not send and saved as a file comes in as entries.",
		Example: "  fairplot import harvest weights.csv --dry-run\n  fairplot import harvest weights.csv\n  fairplot import tables/\n  fairplot import entries fairplot-not-sent.jsonl",
		Args:    between(1, "NOUN", "FILE"),
		ValidArgsFunction: func(_ *cobra.Command, args []string, _ string) ([]cobra.Completion, cobra.ShellCompDirective) {
			if len(args) == 0 {
				return kindWords(), cobra.ShellCompDirectiveDefault
			}
			return nil, cobra.ShellCompDirectiveDefault
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.importAll(args, o) },
	}
	c.Flags().BoolVar(&o.dry, "dry-run", false, "only tell what would be done")
	c.Flags().BoolVar(&o.decimals, "decimal-marks", false, "commas and points are decimal marks, though each has three digits behind it")
	c.Flags().BoolVar(&o.keepRepeats, "keep-repeats", false, "lines that are alike are separate entries")
	c.Flags().StringVar(&o.mark, "mark", "", "what stands between the columns, if it is not what the first line suggests")
	c.Flags().StringVar(&o.sheet, "sheet", "", "the sheet of a spreadsheet, if not the first")
	c.Flags().StringSliceVar(&o.ignore, "ignore", nil, "heads of columns to leave out")
	return c
}

func kindWords() []string {
	var out []string
	for _, k := range garden.Kinds() {
		out = append(out, string(k))
	}
	return out
}

// source is one table on its way in.
type source struct {
	kind    garden.Kind
	file    string
	table   intake.Table
	columns []column
}

func (a *app) importAll(args []string, o importOptions) error {
	if len(args) == 2 && args[0] == entriesWord {
		return a.importEntries(args[1])
	}
	sources, err := a.sources(args, o)
	if err != nil {
		return err
	}
	s, err := a.read(garden.Want{})
	if err != nil {
		return err
	}
	c, err := a.context(s)
	if err != nil {
		return err
	}
	c.Asks, c.Dates.Today = false, civil.Date{}
	in := &importing{app: a, context: c, options: o, started: a.env.Now()}
	for _, src := range sources {
		in.take(src)
	}
	return in.finish(s)
}

// sources reads the files: one, or all of a folder in the order in which they name each other.
func (a *app) sources(args []string, o importOptions) ([]source, error) {
	if len(args) == 2 {
		k := garden.Kind(args[0])
		if !slices.Contains(garden.Kinds(), k) {
			return nil, &usageError{text: fmt.Sprintf("import: there are no entries of the kind %q; %s", args[0], word.Hint(args[0], kindWords()))}
		}
		src, err := a.source(k, a.path(args[1]), o)
		return []source{src}, err
	}
	folder := a.path(args[0])
	if info, err := os.Stat(folder); err != nil || !info.IsDir() {
		if slices.Contains(kindWords(), args[0]) {
			return nil, &usageError{text: "import: FILE is missing; the usage is: fairplot import NOUN FILE"}
		}
		return nil, &garden.Error{Kind: garden.Missing, Text: "there is no folder " + args[0], Hint: "for one table say what it holds: fairplot import harvest " + args[0]}
	}
	var out []source
	for _, k := range garden.Kinds() {
		for _, end := range []string{".csv", ".xlsx"} {
			file := filepath.Join(folder, string(k)+end)
			if _, err := os.Stat(file); err != nil {
				continue
			}
			src, err := a.source(k, file, o)
			if err != nil {
				return nil, err
			}
			out = append(out, src)
		}
	}
	if len(out) == 0 {
		return nil, &garden.Error{Kind: garden.Missing, Text: "there is no table in " + args[0], Hint: "name them after what they hold, such as harvest.csv and planting.csv"}
	}
	return out, nil
}

func (a *app) source(k garden.Kind, file string, o importOptions) (source, error) {
	name := filepath.Base(file)
	data, err := os.ReadFile(file)
	if err != nil {
		return source{}, &garden.Error{Kind: garden.Missing, Text: "the file " + file + " cannot be read", Hint: "check its name and that you may read it", Cause: err}
	}
	options := intake.Options{Sheet: o.sheet}
	if o.mark != "" {
		options.Mark = []rune(strings.ReplaceAll(o.mark, `\t`, "\t"))[0]
	}
	t, err := intake.ReadTable(name, data, options)
	if err != nil {
		return source{}, err
	}
	columns, err := columnsOf(k, t, o.ignore)
	if err != nil {
		return source{}, err
	}
	if !o.decimals {
		if err := checkMarks(t, columns); err != nil {
			return source{}, err
		}
	}
	return source{kind: k, file: name, table: t, columns: columns}, nil
}
