package layers

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"slices"
	"strings"
	"testing"
)

// The limits of docs/design.md. What is longer is a place to think again; a table of data may be as long as its data.
const (
	longestFunction = 80
	longestFile     = 500
)

// documented are the packages whose exported names all say what they are: shapes, units, errors, sources.
var documented = "unit civil source word garden ceiling water climate crop soil spacing finding"

func TestFunctionsAndFilesAreShort(t *testing.T) {
	for _, s := range shipped(t) {
		fset, file := again(t, s.path)
		if n := fset.Position(file.FileEnd).Line; n > longestFile && !isTable(file) {
			t.Errorf("%s has %d lines, more than %d: which noun in it is another's?", s.path, n, longestFile)
		}
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if n := fset.Position(f.End()).Line - fset.Position(f.Pos()).Line + 1; n > longestFunction {
				t.Errorf("%s: %s has %d lines, more than %d", s.path, f.Name.Name, n, longestFunction)
			}
		}
	}
}

// again parses a file with a set of its own, for its lines.
func again(t *testing.T, path string) (*token.FileSet, *ast.File) {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	return fset, file
}

// isTable reports whether a file is data: it declares variables and no function.
func isTable(f *ast.File) bool {
	return !slices.ContainsFunc(f.Decls, func(d ast.Decl) bool { _, is := d.(*ast.FuncDecl); return is })
}

func TestExportedNamesAreDocumented(t *testing.T) {
	for _, s := range shipped(t) {
		if !strings.HasPrefix(s.pkg, "num/") && !slices.Contains(strings.Fields(documented), s.pkg) {
			continue
		}
		for _, name := range undocumented(s.file) {
			t.Errorf("%s: %s is exported and says nothing of itself", s.path, name)
		}
	}
}

// undocumented lists exported names without a comment of their own or of the group they stand in.
func undocumented(f *ast.File) []string {
	var out []string
	for _, d := range f.Decls {
		switch d := d.(type) {
		case *ast.FuncDecl:
			if d.Doc == nil && d.Name.IsExported() && exportedReceiver(d) {
				out = append(out, d.Name.Name)
			}
		case *ast.GenDecl:
			if d.Doc != nil {
				continue
			}
			for _, spec := range d.Specs {
				out = append(out, bare(spec)...)
			}
		}
	}
	return out
}

func exportedReceiver(f *ast.FuncDecl) bool {
	if f.Recv == nil {
		return true
	}
	t := f.Recv.List[0].Type
	if star, ok := t.(*ast.StarExpr); ok {
		t = star.X
	}
	if generic, ok := t.(*ast.IndexExpr); ok {
		t = generic.X
	}
	name, ok := t.(*ast.Ident)
	return !ok || name.IsExported()
}

func bare(spec ast.Spec) []string {
	var out []string
	switch s := spec.(type) {
	case *ast.TypeSpec:
		if s.Doc == nil && s.Comment == nil && s.Name.IsExported() {
			out = append(out, s.Name.Name)
		}
	case *ast.ValueSpec:
		for _, name := range s.Names {
			if s.Doc == nil && s.Comment == nil && name.IsExported() {
				out = append(out, name.Name)
			}
		}
	}
	return out
}

// TestTheRulesBite feeds the rules what they must object to.
func TestTheRulesBite(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "bad.go", "package bad\n\ntype T int\n\nfunc F() {}\n\nfunc (T) M() {}\n\nconst A, b = 1, 2\n", parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(undocumented(file), " "); got != "T F M A" {
		t.Errorf("without comments: %q, want T F M A", got)
	}
	if isTable(file) {
		t.Error("a file with functions passes for a table")
	}
}

// TestNoNotesToDo: what is to be done belongs on a list and not in the code.
func TestNoNotesToDo(t *testing.T) {
	words := []string{"TO" + "DO", "FIX" + "ME", "XX" + "X"}
	for _, s := range shipped(t) {
		text, err := os.ReadFile(s.path)
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range words {
			if strings.Contains(string(text), w) {
				t.Errorf("%s holds a note to do (%s)", s.path, w)
			}
		}
	}
}
