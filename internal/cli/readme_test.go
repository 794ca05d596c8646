package cli

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"
)

// notRun are README commands that do not end or that build the program; everything else that begins with ./fairplot is run.
var notRun = []string{"./fairplot serve"}

// TestReadmeCommands runs the commands of the README in order in an empty folder, so that they cannot rot.
func TestReadmeCommands(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	ran := 0
	for _, line := range strings.Split(string(text), "\n") {
		call, ok := strings.CutPrefix(line, "    ./fairplot ")
		if !ok || contains(notRun, strings.TrimSpace(line)) {
			continue
		}
		ran++
		var out, words bytes.Buffer
		env := Env{Args: shellWords(call), Stdin: strings.NewReader(""), Stdout: &out, Stderr: &words, Dir: dir, Now: storyTime, Getenv: func(string) string { return "" }}
		if status := Main(context.Background(), env); status != 0 {
			t.Errorf("%s: exit status %d: %s", call, status, words.String())
		}
	}
	if ran < 4 {
		t.Errorf("only %d commands were found in the README", ran)
	}
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// shellWords splits a line as a shell does with double quotes only.
func shellWords(line string) []string {
	var out []string
	word, quoted, begun := "", false, false
	for _, c := range line {
		switch {
		case c == '"':
			quoted, begun = !quoted, true
		case c == ' ' && !quoted:
			if begun {
				out = append(out, word)
			}
			word, begun = "", false
		default:
			word += string(c)
			begun = true
		}
	}
	if begun {
		out = append(out, word)
	}
	return out
}
