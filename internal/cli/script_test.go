package cli

import (
	"context"
	"errors"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"
)

// The stories run the whole program as its own process. Their day is always 14 July 2026; only the hour goes on.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"fairplot": func() {
			os.Exit(Main(context.Background(), Env{Args: os.Args[1:], Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr,
				Now: storyTime, Terminal: os.Getenv("ANSWERS") != "", Patience: 200 * time.Millisecond}))
		},
		"generate":  func() { os.Exit(generate(os.Args[1:])) },
		"smalldisk": func() { os.Exit(smallDisk(os.Args[1:])) },
	})
}

// storyTime goes on two seconds at each look in a story with HASTY, so that whatever is told once a second is told at once.
func storyTime() time.Time {
	if os.Getenv("HASTY") != "" {
		hasty = hasty.Add(2 * time.Second)
		return hasty
	}
	now := time.Now().UTC()
	return time.Date(2026, time.July, 14, 0, 0, 0, 0, time.UTC).Add(now.Sub(now.Truncate(24 * time.Hour)))
}

var hasty = time.Date(2026, time.July, 14, 0, 0, 0, 0, time.UTC)

func TestStories(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Condition:           func(name string) (bool, error) { return name == "root" && os.Geteuid() == 0, nil },
		Cmds:                storyCommands(),
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("TZ", "UTC")
			return nil
		},
	})
}

// status runs a command that must end with the exit status given: status 2 fairplot ...
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N command args...")
	}
	err := ts.Exec(args[1], args[2:]...)
	got := "0"
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = strconv.Itoa(exit.ExitCode())
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != args[0] {
		ts.Fatalf("exit status %s, want %s", got, args[0])
	}
}
