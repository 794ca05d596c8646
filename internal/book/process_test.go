//go:build unix

package book_test

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/garden"
)

// TestMain lets the test program play another process that works on the book.
func TestMain(m *testing.M) {
	if role := os.Getenv("BOOK_ROLE"); role != "" {
		if err := play(role, os.Getenv("BOOK_PATH")); err != nil {
			fmt.Println("error:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func play(role, path string) error {
	s := &serial{n: 1 << 40}
	o := options(s)
	o.Wait = 20 * time.Second
	b, err := book.Open(ctx, path, o)
	if err != nil {
		return err
	}
	defer b.Close()
	t := &testing.T{}
	if role == "import" {
		// A small cache, so that the log on the disk holds a part of the import when the kill comes.
		if err := b.Exec("PRAGMA cache_size = -1000"); err != nil {
			return err
		}
		_, err = b.CopyIn(ctx, tenYears(t, s, 60000), func(done int) { fmt.Println(done) })
		return err
	}
	s.n += uint64(len(role)) << 32 // ids of its own
	for range 60 {
		g := garden.Garden{ID: garden.GardenID(s.id()), Name: role}
		if r, err := b.Apply(ctx, add(t, s, g)); err != nil || r[0].Outcome != garden.Kept {
			return fmt.Errorf("%v, %w", r, err)
		}
	}
	return nil
}

func other(t *testing.T, role, path string) *exec.Cmd {
	t.Helper()
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(program, "-test.run=^$")
	cmd.Env = append(os.Environ(), "BOOK_ROLE="+role, "BOOK_PATH="+path)
	return cmd
}

func TestAKillInTheMiddleOfAnImportLeavesTheBookAsItWas(t *testing.T) {
	path := closed(t)
	cmd := other(t, "import", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	for lines.Scan() && lines.Text() != "15000" {
		if strings.HasPrefix(lines.Text(), "error") {
			t.Fatal(lines.Text())
		}
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err == nil || !strings.Contains(err.Error(), "killed") {
		t.Fatalf("the import was not killed: %v", err)
	}
	if info, err := os.Stat(path + "-wal"); err != nil || info.Size() == 0 {
		t.Fatalf("nothing was left behind: the kill came too early or too late (%v)", err)
	}
	b, err := book.Open(ctx, path, options(&serial{}))
	if err != nil {
		t.Fatal(err)
	}
	list := read(t, b)
	if len(list.Harvests) != 1 || len(list.Beds) != 1 || mustVersion(t, b) != 4 {
		t.Errorf("after the kill there are %d harvests, %d beds, %d operations; want 1, 1, 4", len(list.Harvests), len(list.Beds), mustVersion(t, b))
	}
	if err := b.Check(ctx); err != nil {
		t.Error(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	if got := files(t, filepath.Dir(path)); len(got) != 1 {
		t.Errorf("after closing the folder holds %q", got)
	}
}

func TestTwoProgramsWriteTheSameBook(t *testing.T) {
	path := closed(t)
	var running []*exec.Cmd
	for _, role := range []string{"one", "other"} {
		cmd := other(t, role, path)
		cmd.Stdout = os.Stdout
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		running = append(running, cmd)
	}
	for _, cmd := range running {
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	}
	b, err := book.Open(ctx, path, options(&serial{}))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	count := map[string]int{}
	for _, g := range read(t, b).Gardens {
		count[g.Name]++
	}
	if count["one"] != 60 || count["other"] != 60 {
		t.Errorf("the book holds %v, want 60 of each", count)
	}
}

// With the older kind of lock, closing any handle on the file in this process would give up the book's own locks.
func TestClosingAnotherHandleKeepsTheLocks(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("only Linux has locks that belong to the open file")
	}
	b, s := fresh(t)
	apply(t, b, add(t, s, newSmall(s).records()...))
	bytesOf(t, b.Path())
	f, err := os.OpenFile(b.Path(), os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	// The 510 bytes on which readers hold a lock as long as a log is in use (SHARED_FIRST and SHARED_SIZE in SQLite's os.h).
	lock := syscall.Flock_t{Type: syscall.F_WRLCK, Start: 0x40000000 + 2, Len: 510}
	if err := syscall.FcntlFlock(f.Fd(), syscall.F_GETLK, &lock); err != nil {
		t.Fatal(err)
	}
	if lock.Type == syscall.F_UNLCK {
		t.Error("the book holds no lock any more: another program could clear away its log")
	}
}

// The rights of a file mean nothing to root, so that there the other process runs as nobody.
func TestABookThatMayNotBeWrittenIsTold(t *testing.T) {
	path := closed(t)
	if err := os.Chmod(path, 0o444); err != nil {
		t.Fatal(err)
	}
	cmd := other(t, "reader", path)
	if os.Getuid() == 0 {
		program := filepath.Join(filepath.Dir(path), "program")
		if err := os.Link(cmd.Path, program); err != nil {
			put(t, program, bytesOf(t, cmd.Path))
		}
		for dir := filepath.Dir(path); dir != os.TempDir() && dir != "/"; dir = filepath.Dir(dir) {
			if err := os.Chmod(dir, 0o755); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Chmod(program, 0o755); err != nil {
			t.Fatal(err)
		}
		cmd.Path, cmd.Dir = program, "/"
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := cmd.CombinedOutput()
	if err == nil || !strings.Contains(string(out), "may not be written") || !strings.Contains(string(out), "copy the book") {
		t.Errorf("a book that may not be written gave %v: %s", err, out)
	}
}
