package layers

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

const module = "fairplot/"

// allowed is the whole import graph: package, then the packages of this module it may import in its
// shipped code. Rows stand in the order of docs/design.md, highest first; inside a row a package may
// import only what stands to its right.
var allowed = map[string]string{
	"cmd/fairplot": "cli",

	"cli":    "book intake web ask report chart diary garden demo reckon evidence season finding practice crop unit civil source word",
	"book":   "garden unit civil word",
	"intake": "garden unit civil source climate word",
	"web":    "ask report chart diary garden finding practice reckon season evidence crop spacing unit civil source word",

	"report": "chart finding practice garden unit civil source word",
	"chart":  "",

	"ask": "evidence tally practice finding diary garden crop unit civil word",

	"demo":     "garden unit civil crop",
	"reckon":   "ceiling water climate crop soil spacing unit civil source word",
	"season":   "practice garden ceiling water climate crop unit civil",
	"tally":    "practice finding garden unit civil",
	"evidence": "plan practice finding garden crop unit civil num/power num/resample num/glmm num/analysis num/lmm num/linear num/model num/dist num/dense word",
	"plan":     "practice finding garden unit civil num/power num/design num/dist word",
	"practice": "finding garden crop unit civil",
	"finding":  "",

	"diary": "garden crop unit civil word",

	"garden": "unit civil word",

	"ceiling": "water climate crop soil spacing unit civil source",
	"water":   "climate crop soil unit civil source",
	"climate": "unit civil source",
	"crop":    "soil spacing unit civil source word",
	"soil":    "unit civil source",
	"spacing": "unit civil source",

	"word":   "",
	"unit":   "civil",
	"civil":  "",
	"source": "",

	"num/power":    "num/analysis num/lmm num/linear num/model num/dist num/minimize num/dense",
	"num/resample": "num/dist num/dense",
	"num/design":   "num/dist num/dense",
	"num/glmm":     "num/linear num/model num/dist num/minimize num/dense",
	"num/analysis": "num/resample num/lmm num/linear num/model num/dist num/dense",
	"num/lmm":      "num/linear num/model num/dist num/minimize num/dense",
	"num/linear":   "num/model num/dist num/minimize num/dense",
	"num/model":    "num/dist num/minimize num/dense",
	"num/dist":     "num/minimize num/dense",
	"num/minimize": "num/dense",
	"num/dense":    "",
	"layers":       "",
}

// owners keeps the packages that reach outside the program with the few that may.
var owners = map[string]string{
	"database/sql":  "book",
	"net/http":      "web cli",
	"html/template": "web report",
	"os":            "cli book cmd/fairplot",
	"math/rand":     "",
	"log":           "",
	"testing":       "",
	"flag":          "", // the command line is read by cli's library alone
	"text/template": "", // pages need escaping
	"crypto/rand":   "cli",
	"crypto/tls":    "web cli",
	"syscall":       "book cli",
	"unsafe":        "",

	"modernc.org/sqlite":              "book",
	"github.com/google/uuid":          "garden book diary cli demo",
	"github.com/spf13/cobra":          "cli",
	"github.com/spf13/pflag":          "cli",
	"github.com/xuri/excelize/v2":     "intake",
	"golang.org/x/text":               "intake",
	"golang.org/x/term":               "cli",
	"github.com/boombuler/barcode":    "web",
	"gonum.org/v1/gonum":              "num/",
	"github.com/rogpeppe/go-internal": "",
}

// forbidden are calls that fetch what must be handed in: the clock and unseeded randomness.
var forbidden = map[string]string{
	"time.Now":     "cli book",
	"time.Since":   "cli book",
	"time.Until":   "cli book",
	"rand.Int":     "",
	"rand.Int64":   "",
	"rand.IntN":    "",
	"rand.N":       "",
	"rand.Uint32":  "",
	"rand.Uint64":  "",
	"rand.Float32": "",
	"rand.Float64": "",
	"rand.Perm":    "",
	"rand.Shuffle": "",

	"rand.NormFloat64": "",
	"rand.ExpFloat64":  "",

	"os.Getenv":    "cli",
	"os.LookupEnv": "cli",
	"os.ReadFile":  "cli book",
	"os.Stdin":     "cmd/fairplot",
	"os.Stdout":    "cmd/fairplot",
	"os.Stderr":    "cmd/fairplot",
	"os.Args":      "cmd/fairplot",
	"os.Exit":      "cmd/fairplot",
	"fmt.Print":    "",
	"fmt.Println":  "",
	"fmt.Printf":   "",
}

type source struct {
	pkg  string
	path string
	file *ast.File
}

func TestEveryImportIsInTheTable(t *testing.T) {
	for _, s := range shipped(t) {
		row, known := allowed[s.pkg]
		if !known {
			t.Errorf("%s: package %s is not in the table", s.path, s.pkg)
			continue
		}
		for _, imp := range s.file.Imports {
			path := strings.Trim(imp.Path.Value, `"`)
			if inner, own := strings.CutPrefix(path, module); own {
				name := strings.TrimPrefix(inner, "internal/")
				if !slices.Contains(strings.Fields(row), name) {
					t.Errorf("%s: %s may not import %s", s.path, s.pkg, name)
				}
				continue
			}
			for lib, owner := range owners {
				if (path == lib || strings.HasPrefix(path, lib+"/")) && !owned(owner, s.pkg) && path != "math/rand/v2" && path != "log/slog" {
					t.Errorf("%s: %s belongs to %q, not to %s", s.path, path, owner, s.pkg)
				}
			}
		}
	}
}

func TestClockAndChanceAreHandedIn(t *testing.T) {
	for _, s := range shipped(t) {
		ast.Inspect(s.file, func(n ast.Node) bool {
			sel, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := sel.X.(*ast.Ident); ok && x.Obj == nil {
				if owner, bad := forbidden[x.Name+"."+sel.Sel.Name]; bad && !owned(owner, s.pkg) {
					t.Errorf("%s: %s.%s must be handed in", s.path, x.Name, sel.Sel.Name)
				}
			}
			return true
		})
	}
}

func TestOnePackageCommentEach(t *testing.T) {
	count := map[string]int{}
	for _, s := range shipped(t) {
		count[s.pkg] += 0
		if s.file.Doc != nil {
			count[s.pkg]++
		}
	}
	for pkg, n := range count {
		if n != 1 {
			t.Errorf("package %s has %d package comments, want one", pkg, n)
		}
	}
}

// TestTableHasNoCycle checks the table itself: whoever widens a row cannot smuggle in a loop.
func TestTableHasNoCycle(t *testing.T) {
	state := map[string]int{}
	var visit func(string) bool
	visit = func(pkg string) bool {
		switch state[pkg] {
		case 1:
			return false
		case 2:
			return true
		}
		state[pkg] = 1
		for _, dep := range strings.Fields(allowed[pkg]) {
			if !visit(dep) {
				t.Errorf("%s and %s reach each other", pkg, dep)
				return false
			}
		}
		state[pkg] = 2
		return true
	}
	for pkg := range allowed {
		visit(pkg)
	}
}

// TestTableKeepsTheRowsOfTheDesign reads the rows of docs/design.md: whatever the table allows leads downwards, or to the right
// within a row. So a wider table cannot bend the design without the page saying so.
func TestTableKeepsTheRowsOfTheDesign(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "docs", "design.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(string(text), "## Layers")
	_, after, _ = strings.Cut(after, "```\n")
	block, _, _ := strings.Cut(after, "```")
	type place struct{ row, column int }
	places := map[string]place{}
	row := 0
	for _, line := range strings.Split(strings.TrimRight(block, "\n"), "\n") {
		words := strings.Fields(line)
		if !strings.HasPrefix(line, "  ") { // a line further in goes on with the row above it
			row, words = row+1, words[1:]
		}
		for _, w := range words {
			places[w] = place{row, len(places)}
		}
	}
	for pkg, row := range allowed {
		from, there := places[pkg]
		if !there && pkg != "layers" {
			t.Errorf("%s stands in no row of docs/design.md", pkg)
		}
		for _, dep := range strings.Fields(row) {
			if to := places[dep]; to.row < from.row || to.row == from.row && to.column < from.column {
				t.Errorf("%s may not reach up or left to %s", pkg, dep)
			}
		}
	}
	for pkg := range places {
		if _, there := allowed[pkg]; !there {
			t.Errorf("%s stands in docs/design.md and not in the table", pkg)
		}
	}
}

func owned(owner, pkg string) bool {
	for _, o := range strings.Fields(owner) {
		if o == pkg || strings.HasSuffix(o, "/") && strings.HasPrefix(pkg, o) {
			return true
		}
	}
	return false
}

func shipped(t *testing.T) []source {
	t.Helper()
	root := filepath.Join("..", "..")
	var out []source
	fset := token.NewFileSet()
	for _, top := range []string{"cmd", "internal"} {
		err := filepath.WalkDir(filepath.Join(root, top), func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && d.Name() == "testdata" {
				return filepath.SkipDir
			}
			if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return nil
			}
			f, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
			if err != nil {
				return err
			}
			rel, _ := filepath.Rel(root, filepath.Dir(path))
			pkg := strings.TrimPrefix(filepath.ToSlash(rel), "internal/")
			out = append(out, source{pkg: pkg, path: path, file: f})
			return nil
		})
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
	}
	if len(out) == 0 {
		t.Fatal("no source files found: the test would pass on nothing")
	}
	return out
}
