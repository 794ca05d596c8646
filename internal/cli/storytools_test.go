package cli

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/binary"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"

	"fairplot/internal/civil"

	"github.com/rogpeppe/go-internal/testscript"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// storyCommands are what stories can do to files besides running the program.
func storyCommands() map[string]func(ts *testscript.TestScript, neg bool, args []string) {
	return map[string]func(ts *testscript.TestScript, neg bool, args []string){
		"status": status,
		"dress":  rewrite(dress),
		"half":   rewrite(func(_ []string, data []byte) ([]byte, error) { return data[:len(data)/2], nil }),
		"newer":  rewrite(newer),
		"edit": func(ts *testscript.TestScript, _ bool, args []string) {
			file := ts.MkAbs(args[0])
			ts.Check(os.WriteFile(file, []byte(strings.ReplaceAll(ts.ReadFile(file), args[1], args[2])), 0o600))
		},
		"escape": func(ts *testscript.TestScript, _ bool, args []string) { // the letter that begins orders to a terminal, in place of "~"
			file := ts.MkAbs(args[0])
			ts.Check(os.WriteFile(file, []byte(strings.ReplaceAll(ts.ReadFile(file), "~", "\x1b")), 0o600))
		},
		"killed": killed,
		"busy":   busy,
	}
}

// rewrite makes a command of a change to the bytes of a file: NAME [ARGS...] FROM TO.
func rewrite(change func(args []string, data []byte) ([]byte, error)) func(*testscript.TestScript, bool, []string) {
	return func(ts *testscript.TestScript, _ bool, args []string) {
		n := len(args) - 2
		data, err := os.ReadFile(ts.MkAbs(args[n]))
		ts.Check(err)
		data, err = change(args[:n], data)
		ts.Check(err)
		ts.Check(os.WriteFile(ts.MkAbs(args[n+1]), data, 0o600))
	}
}

// dress writes a text as other programs would: dress KIND FROM TO.
func dress(args []string, data []byte) ([]byte, error) {
	switch args[0] {
	case "bom":
		return append([]byte("\xEF\xBB\xBF"), data...), nil
	case "crlf":
		return bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")), nil
	case "utf16":
		return unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes(data)
	case "windows1252":
		return charmap.Windows1252.NewEncoder().Bytes(data)
	}
	return nil, fmt.Errorf("no dress %q", args[0])
}

// newer raises the user_version in the header of an SQLite file (sqlite.org/fileformat2.html, section 1.3: offset 60).
func newer(_ []string, data []byte) ([]byte, error) {
	binary.BigEndian.PutUint32(data[60:], 9999)
	return data, nil
}

// killed starts an import and kills it in the middle of its transaction: when it has told of the first thousand entries written, and
// thousands are to come: killed ARGS...
func killed(ts *testscript.TestScript, _ bool, args []string) {
	program, err := exec.LookPath("fairplot")
	ts.Check(err)
	c := exec.CommandContext(context.Background(), program, args...)
	c.Dir, c.Env = ts.MkAbs("."), append(os.Environ(), "HOME="+ts.MkAbs("."), "HASTY=1")
	words, err := c.StderrPipe()
	ts.Check(err)
	ts.Check(c.Start())
	lines := bufio.NewScanner(words)
	for lines.Scan() && !strings.Contains(lines.Text(), "entries written") {
	}
	ts.Check(c.Process.Kill())
	if err := c.Wait(); err == nil {
		ts.Fatalf("it ended well before the kill arrived")
	}
	if !strings.Contains(lines.Text(), " of ") {
		ts.Fatalf("it ended before it had written anything")
	}
}

// busy runs the program while another connection writes to the book: busy BOOK STATUS ARGS...
func busy(ts *testscript.TestScript, _ bool, args []string) {
	db, err := sql.Open("sqlite", "file:"+ts.MkAbs(args[0])+"?_txlock=immediate")
	ts.Check(err)
	defer db.Close()
	tx, err := db.BeginTx(context.Background(), nil)
	ts.Check(err)
	defer func() { ts.Check(tx.Rollback()) }()
	status(ts, false, append([]string{args[1], "fairplot"}, args[2:]...))
}

// generate writes a file of harvest lines for a story: generate FILE LINES [bad].
func generate(args []string) int {
	lines, err := strconv.Atoi(args[1])
	if err != nil {
		return 2
	}
	f, err := os.Create(args[0])
	if err != nil {
		return 1
	}
	w := bufio.NewWriter(f)
	fmt.Fprintln(w, "date,bed,crop,mass,note")
	for i := range lines {
		mass := fmt.Sprintf("%d g", 100+i%900)
		if len(args) > 2 {
			mass = fmt.Sprintf("heavy%d", i)
		}
		day := civil.Of(2025, 6, 1).AddDays(i * 120 / lines)
		fmt.Fprintf(w, "%s,kitchen/%d,carrot,%s,line %d\n", day, 1+i%3, mass, i)
	}
	if w.Flush() != nil || f.Close() != nil {
		return 1
	}
	return 0
}
