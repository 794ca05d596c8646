package cli

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

var long = flag.Bool("long", false, "many more odd calls")

// oddTexts are what people, other programs and slips of the hand put where something else is wanted.
var oddTexts = []string{"", " ", "-", "--", "/", "//", "../..", "terrace/1", "terrace/1-3", "terrace/3-1", "+", "+x/y", "leek", "🥕", "\x00", "\xff\xfe", "\x1b[2J",
	"0", "-1", "1", "1e400", "1e-400", "99999999999999999999", "1,5", "1.5.2", "½", "1/0 kg", "2 kg", "3 lb 4 oz", "-2 kg", "1 kg m", "2 barrows", "90 min", "1h", "h",
	"2026-04-03", "2026-02-30", "0000-00-00", "9999-12-31", "12345-01-01", "03/04/2026", "week 15", "week 0", "yesterday", "about may", "today", "%", "5 %", "%s%d%n",
	"[]", "{", `[{"name":"x"}]`, "null", "=1+1", "a,b;c\n\"", "00000000", "01a2131b-1749-7298-bd8d-2e2414c523ca", "pH 6", "yes", "double dug", strings.Repeat("a", 5000),
	"4 x 1 m", "0 x 0 m", "NaN kg", "Inf", "2023-2025", "2025-2023", "gardens", "cultivation", "-0 kg"}

// oddCall makes a command line of a real command and flags, with odd texts in them.
func oddCall(random *rand.Rand) []string {
	pick := func(list []string) string { return list[random.IntN(len(list))] }
	kinds := kindWords()
	k := garden.Kind(pick(kinds))
	call := []string{string(k), pick([]string{"add", "add", "add", "list", "show", "change", "remove", "end", "thin", "place"})}
	switch random.IntN(6) {
	case 0:
		call = []string{pick([]string{"tally", "compare", "history", "undo", "sort-out", "analyse", "export", "completion", "new", "backup", "help", "reckon"})}
	case 1:
		call = append(call, pick(oddTexts))
	}
	if call[1%len(call)] != "list" && random.IntN(2) == 0 {
		call = append(call, pick(oddTexts))
	}
	for range random.IntN(5) {
		name := pick([]string{"json", "csv", "season", "crop", "gardens", "per", "matters", "table", "last", "all", "date", "bed", "mass"})
		if fields := diary.Fields(k); len(fields) > 0 && random.IntN(4) > 0 {
			name = fields[random.IntN(len(fields))].Name
		}
		call = append(call, "--"+name+"="+pick(oddTexts))
	}
	return call
}

// Whatever is typed, the program ends by itself, with one of its three statuses, and says something when it did not do it.
func TestOddCallsAreAnswered(t *testing.T) {
	calls := 400
	if *long {
		calls = 20_000
	}
	dir := t.TempDir()
	random := rand.New(rand.NewPCG(3, 14))
	for _, args := range [][]string{{"new", "b.fairplot"}, {"bed", "add", "--bed", "terrace/1-3", "--size", "4 x 1 m"}, {"planting", "add", "--bed", "terrace/1", "--crop", "leek"}} {
		oddRun(t, dir, args)
	}
	for range calls {
		args := oddCall(random)
		oddRun(t, dir, args)
		for _, made := range oddFiles(t, dir) { // a second book would stop every further call
			if err := os.RemoveAll(filepath.Join(dir, made)); err != nil {
				t.Fatal(err)
			}
		}
	}
}

func oddFiles(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), "b.fairplot") {
			out = append(out, e.Name())
		}
	}
	return out
}

func oddRun(t *testing.T, dir string, args []string) {
	t.Helper()
	outside := func(arg string) bool {
		_, value, _ := strings.Cut(arg, "=")
		return strings.Contains(arg, "..") || strings.HasPrefix(arg, "/") || strings.HasPrefix(value, "/")
	}
	if slices.ContainsFunc(args, outside) {
		return // it could write outside the test's folder, as it was told to
	}
	defer func() {
		if p := recover(); p != nil {
			t.Fatalf("%q: %v", args, p)
		}
	}()
	var out, words bytes.Buffer
	env := Env{Args: args, Stdin: strings.NewReader(""), Stdout: &out, Stderr: &words, Dir: dir, Patience: time.Second,
		Now: func() time.Time { return time.Date(2026, time.July, 14, 9, 0, 0, 0, time.UTC) }, Getenv: func(string) string { return "" }}
	status := Main(context.Background(), env)
	switch {
	case status < 0 || status > wrongUse:
		t.Errorf("%q ended with %d", args, status)
	case status != 0 && words.Len() == 0:
		t.Errorf("%q ended with %d and without a word", args, status)
	case strings.ContainsRune(words.String(), '\x1b'):
		t.Errorf("%q sends an order to the terminal: %q", args, words.String())
	}
	for _, leak := range []string{"%!", "strconv.", "runtime error", "SQL", "nil pointer", "<nil>", "unmarshal", "invalid character", "&{"} {
		if strings.Contains(words.String(), leak) {
			t.Errorf("%q is told in the program's own words: %s", args, fmt.Sprintf("%.200s", words.String()))
		}
	}
}
