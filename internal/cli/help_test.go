package cli

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

// everyCommand gives the whole tree, verbs of all nouns included.
func everyCommand(t *testing.T) []*cobra.Command {
	t.Helper()
	var args []string
	for _, k := range garden.Kinds() {
		args = append(args, string(k))
	}
	a := &app{env: Env{Args: args}.filled(), ctx: context.Background()}
	var out []*cobra.Command
	var walk func(c *cobra.Command)
	walk = func(c *cobra.Command) {
		out = append(out, c)
		for _, sub := range c.Commands() {
			walk(sub)
		}
	}
	walk(a.root())
	return out
}

func TestEveryCommandHasAnExampleOfItself(t *testing.T) {
	all := everyCommand(t)
	if len(all) < 100 {
		t.Fatalf("only %d commands were found", len(all))
	}
	for _, c := range all {
		if c.Short == "" || !strings.Contains(c.Example, "fairplot") || c.HasParent() && !strings.Contains(c.Example, c.CommandPath()) {
			t.Errorf("%s: says %q, example %q", c.CommandPath(), c.Short, c.Example)
		}
	}
}

// before is what must be in the book for the example of a kind to work; for all kinds not named here it is a whole garden.
var before = map[garden.Kind][]string{
	garden.KindSite: {}, garden.KindPerson: {}, garden.KindSetting: {}, garden.KindCrop: {}, garden.KindVariety: {}, garden.KindMaterial: {},
	garden.KindMeasure: {}, garden.KindTrial: {}, garden.KindBed: {},
	garden.KindGarden: {"site add --name home"},
	garden.KindDevice: {"person add --name Ana"},
}

var wholeGarden = []string{
	"site add --name home", "bed add --bed terrace/1-6 --size '4.8 x 1.2 m'", "measure add --name barrow --volume '80 L'",
	"planting add --bed terrace/1-5 --crop parsnip --date 2026-04-03",
}

// TestTheExamplesOfAddWork types in what the help of each noun shows.
func TestTheExamplesOfAddWork(t *testing.T) {
	for _, k := range garden.Kinds() {
		if k == garden.KindPicture {
			continue
		}
		dir := t.TempDir()
		run(t, dir, "new", "g", "--units", "metric", "--currency", "EUR")
		setup, own := before[k]
		if !own {
			setup = wholeGarden
		}
		if k == garden.KindSetting {
			run(t, dir, "setting", "remove", "units")
		}
		for _, line := range append(setup, strings.TrimPrefix(strings.TrimSpace(addExample(k)), "fairplot ")) {
			var words bytes.Buffer
			args := split(t, line)
			if code := Main(context.Background(), Env{Args: args, Stdin: &bytes.Buffer{}, Stdout: &bytes.Buffer{}, Stderr: &words, Now: storyTime, Dir: dir, Getenv: func(string) string { return "" }}); code != 0 {
				t.Errorf("fairplot %s: exit %d\n%s", line, code, words.String())
			}
		}
	}
}

// split takes a command line apart as a shell does, for the quotation marks that examples use.
func split(t *testing.T, line string) []string {
	t.Helper()
	var out []string
	var word strings.Builder
	quote, begun := rune(0), false
	for _, c := range line + " " {
		switch {
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(c)
		case c == '\'' || c == '"':
			quote, begun = c, true
		case c == ' ':
			if begun || word.Len() > 0 {
				out = append(out, word.String())
			}
			word.Reset()
			begun = false
		default:
			word.WriteRune(c)
		}
	}
	return out
}
