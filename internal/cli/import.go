package cli

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/civil"
	"fairplot/internal/diary"
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
			"The same file a second time adds nothing.",
		Example: "  fairplot import harvest weights.csv --dry-run\n  fairplot import harvest weights.csv\n  fairplot import tables/",
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

// importing is an import under way: what was understood so far, and what is told of it.
type importing struct {
	app      *app
	context  diary.Context
	options  importOptions
	started  time.Time
	last     time.Time
	ops      []garden.Operation
	from     []origin // of each operation
	accounts []*account
	lineOf   map[garden.ID]int // records made in this file, by the line that made them
}

// origin is the line that an operation comes from.
type origin struct {
	account *account
	line    int
}

// take understands every line of a table. The records of good lines are there for the lines after them.
func (in *importing) take(src source) {
	acc := &account{file: src.file, lines: len(src.table.Rows)}
	in.accounts = append(in.accounts, acc)
	in.lineOf = map[garden.ID]int{}
	for i, row := range src.table.Rows {
		line := src.table.Lines[i]
		in.progress("read", i, len(src.table.Rows))
		if len(row) > len(src.table.Header) {
			acc.wrong.add(line, fmt.Sprintf("it has %d cells under %d heads; is there a mark inside a text? Put that text in quotation marks", len(row), len(src.table.Header)))
			continue
		}
		fields := fieldsOf(src.table, src.columns, row)
		if fields["id"] != "" {
			asWritten(src.columns, fields)
		}
		in.line(acc, src.kind, line, fields)
	}
	if acc.wrong.count > 0 {
		in.hintSwapped(acc, src)
	}
}

// asWritten keeps the names of crops as a book wrote them, where a line bears the id of its record.
func asWritten(columns []column, fields map[string]string) {
	for _, c := range columns {
		if name := fields[c.field.Name]; c.field.Type == diary.CropType && name != "" {
			fields[c.field.Name] = "+" + name
		}
	}
}

func (in *importing) line(acc *account, k garden.Kind, line int, fields map[string]string) {
	ids := makerOf(k, fields)
	if fields["id"] != "" {
		in.lineWithID(acc, k, line, ids, fields)
		return
	}
	id := ids.id("record", 0)
	if first, repeats := in.lineOf[id]; repeats {
		if !in.options.keepRepeats {
			acc.repeated++
			acc.said.add(line, fmt.Sprintf("it is the same as line %d and was taken once; --keep-repeats takes both", first))
			return
		}
		for n := 1; in.lineOf[id] != 0; n++ {
			id = ids.id("record", n)
		}
	}
	in.lineOf[id] = line
	if _, had := in.context.Records.Get(id); had {
		acc.had++
		return
	}
	fields["id"] = id.String()
	in.understand(acc, line, ids, diary.Draft{Action: diary.Add, Kind: k, Fields: fields})
}

// lineWithID is a line that was exported before: it is added, or changed where it differs.
func (in *importing) lineWithID(acc *account, k garden.Kind, line int, ids maker, fields map[string]string) {
	draft := diary.Draft{Action: diary.Add, Kind: k, Fields: fields}
	if id, err := garden.ParseID(fields["id"]); err == nil {
		if first, repeats := in.lineOf[id]; repeats {
			acc.wrong.add(line, fmt.Sprintf("id: line %d has the same id; leave one of them out", first))
			return
		}
		in.lineOf[id] = line
		if rec, had := in.context.Records.Get(id); had {
			if rec.Kind() != k {
				acc.wrong.add(line, fmt.Sprintf("id: it belongs to a %s; leave the id out to get a new one", rec.Kind()))
				return
			}
			delete(fields, "id")
			draft = diary.Draft{Action: diary.Change, Kind: k, Target: id.String(), Fields: fields}
		}
	}
	in.understand(acc, line, ids, draft)
}

func (in *importing) understand(acc *account, line int, ids maker, d diary.Draft) {
	n := 0
	in.context.NewID = func() garden.ID {
		n++
		return ids.id("made", n)
	}
	out, err := diary.Understand(in.context, d)
	if err != nil {
		delete(in.lineOf, recordOf(d))
		acc.wrong.add(line, err.Error())
		return
	}
	for _, flag := range out.Flags {
		acc.doubts.add(line, flag)
	}
	switch {
	case d.Action == diary.Add:
		acc.added++
	case len(out.Operations) > 0:
		acc.changed++
	default:
		acc.had++
	}
	diary.Follow(in.context.Records, out)
	in.ops = append(in.ops, out.Operations...)
	for range out.Operations {
		in.from = append(in.from, origin{acc, line})
	}
}

func recordOf(d diary.Draft) garden.ID {
	id, err := garden.ParseID(d.Fields["id"])
	if err != nil {
		return garden.ID{}
	}
	return id
}

// finish tells the account and, if every line was good, keeps all of it in one transaction.
func (in *importing) finish(s *session) error {
	wrong := 0
	for _, acc := range in.accounts {
		acc.said.write(in.app.env.Stderr, acc.file, "passed over")
		acc.doubts.write(in.app.env.Stderr, acc.file, "kept, but look at these")
		acc.wrong.write(in.app.env.Stderr, acc.file, counted(acc.wrong.count, "wrong line"))
		if acc.swapped != "" {
			in.app.words("%s: %s", acc.file, acc.swapped)
		}
		wrong += acc.wrong.count
	}
	if wrong > 0 {
		in.app.words("nothing was taken in; mend the lines and import again")
		return &toldError{status: couldNot}
	}
	if !in.options.dry && len(in.ops) > 0 {
		if err := in.keep(s); err != nil {
			return err
		}
	}
	for _, acc := range in.accounts {
		fmt.Fprintln(in.app.env.Stdout, acc.summary(in.options.dry))
	}
	if in.options.dry {
		in.app.words("this was a dry run: nothing was taken in")
	}
	return nil
}

// keep writes all operations in one transaction. Lines that were taken in before and whose records were removed since stay
// removed: the book refuses to make them anew, and without them the rest is tried once more.
func (in *importing) keep(s *session) error {
	receipts, err := in.copyIn(s)
	if err == nil {
		return nil
	}
	gone := map[garden.ID]bool{}
	for i, r := range receipts {
		op := in.ops[i]
		if r.Outcome != garden.RefusedOut {
			continue
		}
		past, lookErr := s.book.History(in.app.ctx, book.Look{Record: op.Record, Limit: 1})
		if lookErr != nil || op.Action != garden.Add || len(past) == 0 || past[0].Operation.Action != garden.Remove {
			return in.app.refusedBecause(err, receipts)
		}
		gone[op.ID] = true
	}
	if len(gone) == 0 {
		return err
	}
	in.forget(gone)
	if receipts, err = in.copyIn(s); err != nil {
		return in.app.refusedBecause(err, receipts)
	}
	return nil
}

func (in *importing) copyIn(s *session) ([]garden.Receipt, error) {
	return s.book.CopyIn(in.app.ctx, in.ops, func(done int) { in.progress("written", done, len(in.ops)) })
}

// forget drops operations and tells their lines.
func (in *importing) forget(gone map[garden.ID]bool) {
	var left []garden.Operation
	for i, op := range in.ops {
		if !gone[op.ID] {
			left = append(left, op)
			continue
		}
		acc := in.from[i].account
		acc.added--
		acc.removed++
		in.app.words("%s: line %d was taken in before and removed since; it stays removed", acc.file, in.from[i].line)
	}
	in.ops = left
}

// progress tells once a second how far it is, from the second second on.
func (in *importing) progress(what string, done, of int) {
	if done%512 != 0 && done != of {
		return
	}
	now := in.app.env.Now()
	if now.Sub(in.started) < time.Second || now.Sub(in.last) < time.Second {
		return
	}
	in.last = now
	in.app.words("%s of %s lines %s", grouped(done), grouped(of), what)
}
