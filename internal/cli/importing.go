package cli

import (
	"errors"
	"fmt"
	"time"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/word"
)

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
		if i%512 == 0 { // a look at the clock for every line would cost more than reading it
			in.progress("lines read", i, len(src.table.Rows))
		}
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
				acc.wrong.add(line, fmt.Sprintf("id: it belongs to %s; leave the id out to get a new one", word.A(string(rec.Kind()))))
				return
			}
			delete(fields, "id")
			draft = diary.Draft{Action: diary.Change, Kind: k, Target: id.String(), Fields: fields}
		}
	}
	in.understand(acc, line, ids, draft)
}

func (in *importing) understand(acc *account, line int, ids maker, d diary.Draft) {
	// A line that changes a record makes another operation of each revision it meets, so that going back and forth is no repeat.
	what := string(d.Action) + d.Target + d.Fields["id"]
	if old, had := in.context.Records.Get(targetOf(d)); had {
		what += fmt.Sprint(old.Revision())
	}
	n := 0
	in.context.NewID = func() garden.ID {
		n++
		return ids.id(what, n)
	}
	out, err := diary.Understand(in.context, d)
	if err == nil && len(out.Questions) > 0 {
		err = errors.New(out.Questions[0].Asks + "; write it in full")
	}
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

func targetOf(d diary.Draft) garden.ID {
	id, err := garden.ParseID(d.Target)
	if err != nil {
		return garden.ID{}
	}
	return id
}

func recordOf(d diary.Draft) garden.ID {
	id, err := garden.ParseID(d.Fields["id"])
	if err != nil {
		return garden.ID{}
	}
	return id
}
