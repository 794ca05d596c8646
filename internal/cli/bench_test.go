package cli

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

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

// BenchmarkHelp is the time from the start of the process to the help; the aim is under 30 ms.
func BenchmarkHelp(b *testing.B) {
	self, err := os.Executable()
	if err != nil {
		b.Fatal(err)
	}
	// The test binary runs as the program under the name fairplot, as testscript arranges it too.
	name := filepath.Join(b.TempDir(), "fairplot")
	if err := os.Symlink(self, name); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if out, err := exec.CommandContext(context.Background(), name, "--help").CombinedOutput(); err != nil {
			b.Fatalf("%v\n%s", err, out)
		}
	}
}
