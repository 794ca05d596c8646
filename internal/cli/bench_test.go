package cli

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"fairplot/internal/demo"
)

// BenchmarkImport brings in 200,000 lines through the whole program; the aim is under ten seconds.
func BenchmarkImport(b *testing.B) {
	for _, lines := range []int{2_000, 200_000} {
		b.Run(fmt.Sprint(lines), func(b *testing.B) {
			dir := b.TempDir()
			file := filepath.Join(dir, "harvest.csv")
			if generate([]string{file, fmt.Sprint(lines)}) != 0 {
				b.Fatal("the file was not made")
			}
			for i := 0; b.Loop(); i++ {
				name := fmt.Sprintf("b%d.fairplot", i)
				run(b, dir, "new", name)
				run(b, dir, "--book", name, "import", "harvest", file)
			}
		})
	}
}

// BenchmarkImportLargeBook is the same on a book with hundreds of plantings: ten seasons in 96 beds.
func BenchmarkImportLargeBook(b *testing.B) {
	dir := b.TempDir()
	bookOf(b, filepath.Join(dir, "first.fairplot"), demo.Make(1, demo.Large(), demo.Usual()))
	run(b, dir, "--book", "first.fairplot", "export", "--all", "tables")
	for i := 0; b.Loop(); i++ {
		name := fmt.Sprintf("b%d.fairplot", i)
		run(b, dir, "new", name)
		run(b, dir, "--book", name, "import", "tables")
	}
}

// BenchmarkCompare asks one question of the demo's book and of one with 200,000 entries, from the start of the process to its end; the aims are 100 ms and 500 ms
// on an idle machine of two cores. It tells the processors' time beside the clock's, which a busy machine stretches.
func BenchmarkCompare(b *testing.B) {
	name := program(b)
	for _, size := range []struct {
		name string
		plan demo.Plan
	}{{"demo", demo.Book()}, {"large", demo.Large()}} {
		b.Run(size.name, func(b *testing.B) {
			file := filepath.Join(b.TempDir(), "b.fairplot")
			bookOf(b, file, demo.Make(demo.Seed, size.plan, demo.Usual()))
			var used time.Duration
			for b.Loop() {
				c := exec.CommandContext(context.Background(), name, "--book", file, "compare", "cultivation")
				if out, err := c.CombinedOutput(); err != nil {
					b.Fatalf("%v\n%s", err, out)
				}
				used += c.ProcessState.UserTime() + c.ProcessState.SystemTime()
			}
			b.ReportMetric(float64(used.Milliseconds())/float64(b.N), "cpu-ms/op")
		})
	}
}

// BenchmarkHelp is the time from the start of the process to the help; the aim is under 30 ms.
func BenchmarkHelp(b *testing.B) {
	name := program(b)
	for b.Loop() {
		if out, err := exec.CommandContext(context.Background(), name, "--help").CombinedOutput(); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
	}
}

// program is the test binary under the name fairplot, under which it runs as the program, as testscript arranges it too.
func program(b *testing.B) string {
	b.Helper()
	self, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	name := filepath.Join(b.TempDir(), "fairplot")
	if err := os.Symlink(self, name); err != nil {
		b.Fatal(err)
	}
	return name
}
