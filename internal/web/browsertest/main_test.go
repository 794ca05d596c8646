// Package browsertest drives the pages in a real browser against the real program, which runs as a process of its own and is really
// killed. It holds tests only.
package browsertest

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/cli"
	"fairplot/internal/demo"
	"fairplot/internal/garden"

	"github.com/google/uuid"
)

var (
	long  = flag.Bool("long", false, "also run what takes minutes")
	shots = flag.String("shots", "", "a folder for a picture of every page")
)

// asProgram tells a copy of the test binary to be the program.
const asProgram = "FAIRPLOT_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		os.Exit(cli.Main(context.Background(), cli.Env{Args: os.Args[1:], Stdin: os.Stdin, Stdout: os.Stdout, Stderr: os.Stderr}))
	}
	flag.Parse()
	code := m.Run()
	stopBrowser()
	os.Exit(code)
}

// program is a running "fairplot serve" that can be killed and started again at the same address.
type program struct {
	t    testing.TB
	book string
	port int
	args []string
	cmd  *exec.Cmd
	said *strings.Builder
}

// serve starts the program on a free port.
func serve(t testing.TB, book string, args ...string) *program {
	t.Helper()
	p := &program{t: t, book: book, port: freePort(t), args: args}
	p.start()
	t.Cleanup(func() {
		p.kill()
		if t.Failed() {
			t.Logf("the program said:\n%s", p.said)
		}
	})
	return p
}

// start returns when the program says that its doors are open.
func (p *program) start() {
	p.t.Helper()
	self, err := os.Executable()
	must(p.t, err)
	args := append([]string{"serve", "--book", p.book, "--port", strconv.Itoa(p.port), "--name", "garden.lan"}, p.args...)
	p.cmd = exec.Command(self, args...)
	p.cmd.Env = append(os.Environ(), asProgram+"=1")
	out, err := p.cmd.StderrPipe()
	must(p.t, err)
	must(p.t, p.cmd.Start())
	p.said = &strings.Builder{}
	lines := bufio.NewScanner(out)
	for lines.Scan() {
		fmt.Fprintln(p.said, lines.Text())
		if strings.Contains(lines.Text(), "Ctrl-C ends it") {
			go func() { _, _ = io.Copy(io.Discard, out) }()
			return
		}
	}
	p.t.Fatalf("the program did not start:\n%s", p.said)
}

// kill ends the program as a power cut would.
func (p *program) kill() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait() // that it was killed is no news
}

func (p *program) at(host, path string) string {
	return fmt.Sprintf("http://%s:%d%s", host, p.port, path)
}

// safely is an address on the https door.
func (p *program) safely(host, path string) string {
	return fmt.Sprintf("https://%s:%d%s", host, p.port+1, path)
}

// freePort finds a port whose next one is free as well.
func freePort(t testing.TB) int {
	t.Helper()
	for range 50 {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		must(t, err)
		port := l.Addr().(*net.TCPAddr).Port
		next, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", port+1))
		must(t, l.Close())
		if err == nil {
			must(t, next.Close())
			return port
		}
	}
	t.Fatal("no two free ports side by side")
	return 0
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func newID() garden.ID { return garden.ID(uuid.Must(uuid.NewV7())) }

// emptyBook makes a book in which nothing was noted.
func emptyBook(t testing.TB) string {
	t.Helper()
	return bookOf(t, garden.Records{})
}

// demoBook makes the invented book.
func demoBook(t testing.TB) string {
	t.Helper()
	return bookOf(t, demo.Make(11, demo.Book(), demo.Usual()))
}

func bookOf(t testing.TB, r garden.Records) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "garden.fairplot")
	b, err := book.Create(t.Context(), path, book.Options{})
	must(t, err)
	var ops []garden.Operation
	for _, k := range garden.Kinds() {
		for _, rec := range r.List(k) {
			body, err := garden.Encode(rec)
			must(t, err)
			ops = append(ops, garden.Operation{ID: newID(), Action: garden.Add, Kind: k, Record: rec.Identity(), Body: body, Made: time.Now()})
		}
	}
	_, err = b.CopyIn(t.Context(), ops, nil)
	must(t, err)
	must(t, b.Close())
	return path
}

// smallGarden is a garden of beds in each of which one crop stands.
func smallGarden(beds int) garden.Records {
	var r garden.Records
	g := garden.Garden{ID: garden.GardenID(newID()), Name: "kitchen"}
	r.Put(g)
	for i := range beds {
		b := garden.Bed{ID: garden.BedID(newID()), Garden: g.ID, Name: strconv.Itoa(i + 1)}
		r.Put(b)
		r.Put(garden.Planting{ID: garden.PlantingID(newID()), Bed: b.ID, Crop: []string{"parsnip", "leek", "carrot"}[i%3]})
	}
	return r
}

// harvests reads the book as it is on the disk.
func harvests(t testing.TB, path string) []garden.Harvest {
	t.Helper()
	b, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	r, err := b.Read(t.Context(), garden.Want{Kinds: []garden.Kind{garden.KindHarvest}})
	must(t, err)
	must(t, b.Close())
	return r.Harvests
}

// run runs another command of the program and returns what it printed.
func run(t testing.TB, args ...string) string {
	t.Helper()
	out, err := command(t, args...)
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return out
}

// runFailing runs a command that must not succeed.
func runFailing(t testing.TB, args ...string) string {
	t.Helper()
	out, err := command(t, args...)
	if err == nil {
		t.Fatalf("%v succeeded: %s", args, out)
	}
	return out
}

func command(t testing.TB, args ...string) (string, error) {
	t.Helper()
	self, err := os.Executable()
	must(t, err)
	cmd := exec.Command(self, args...)
	cmd.Env = append(os.Environ(), asProgram+"=1")
	out, err := cmd.CombinedOutput()
	return string(out), err
}
