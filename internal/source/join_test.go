package source_test

import (
	"encoding/csv"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fairplot/internal/source"
)

// found is one place that names a source.
type found struct{ key, where string }

var (
	// word is anything that could be a key inside a comment, a text or a cell.
	word = regexp.MustCompile(`[A-Z][A-Z0-9]*(?:[.-][A-Z0-9]+)*[A-Z0-9]`)
	// address is a key followed by the place in the work: FAO56 eq. 6.
	address = regexp.MustCompile(`\b([A-Z]{2,}[A-Z0-9-]*[0-9][A-Z0-9.-]*)\s+(?:eqs?|tables?|figs?|ch|annex|ex|box|pp?|method|appendix)\b`)
)

// science are the packages whose fields named Source hold keys; elsewhere such a field may hold a person's words.
var science = map[string]bool{"climate": true, "water": true, "ceiling": true, "soil": true, "crop": true, "spacing": true, "reckon": true}

// TestCodeAndRegisterAgree checks that every key that code and tables name is registered, and that every registered one is named.
func TestCodeAndRegisterAgree(t *testing.T) {
	listed := map[string]bool{}
	for _, s := range source.All() {
		if listed[s.Key] {
			t.Errorf("%s is registered twice", s.Key)
		}
		listed[s.Key] = true
		if s.Authors == "" && s.Title == "" {
			t.Errorf("%s has neither authors nor title", s.Key)
		}
	}
	named, claims := scan(t)
	if len(named) < 20 || len(claims) < 100 {
		t.Fatalf("only %d words and %d keys were found: the test would pass on nothing", len(named), len(claims))
	}
	told := map[string]bool{}
	for _, c := range claims {
		if !listed[c.key] && !told[c.key] {
			t.Errorf("%s names %q, which is not registered", c.where, c.key)
			told[c.key] = true
		}
	}
	for key := range listed {
		if !named[key] {
			t.Errorf("%s is registered, but nothing names it", key)
		}
	}
}

// scan reads the shipped code and tables: every word that could be a key, and every place that claims to be one.
func scan(t *testing.T) (named map[string]bool, claims []found) {
	t.Helper()
	named = map[string]bool{}
	root := filepath.Join("..")
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() && (d.Name() == "source" || d.Name() == "testdata") {
			if err == nil {
				err = filepath.SkipDir
			}
			return err
		}
		switch {
		case strings.HasSuffix(path, ".csv") && science[packageOf(path)]:
			claims = append(claims, ofTable(t, path, named)...)
		case strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go"):
			claims = append(claims, ofCode(t, path, named)...)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return named, claims
}

func packageOf(path string) string {
	return strings.Split(filepath.ToSlash(path), "/")[1]
}

// ofTable returns the keys in the columns of a table that are headed source.
func ofTable(t *testing.T, path string, named map[string]bool) []found {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s: %v", path, err)
	}
	var out []found
	for col, head := range rows[0] {
		if !strings.HasSuffix(head, "source") {
			continue
		}
		for _, r := range rows[1:] {
			for key := range strings.FieldsFuncSeq(r[col], func(r rune) bool { return r == ';' || r == ',' }) {
				key, _, _ = strings.Cut(strings.TrimSpace(key), " ")
				named[key] = true
				out = append(out, found{key, path})
			}
		}
	}
	return out
}

// ofCode returns the keys that a file's comments give an address of, and those in its fields named Source.
func ofCode(t *testing.T, path string, named map[string]bool) []found {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, path, nil, parser.ParseComments)
	if err != nil {
		t.Logf("%s is not read: %v", path, err)
		return nil
	}
	var out []found
	take := func(text string) {
		for _, w := range word.FindAllString(text, -1) {
			named[w] = true
		}
	}
	for _, group := range file.Comments {
		for _, c := range group.List {
			take(c.Text)
			for _, m := range address.FindAllStringSubmatch(c.Text, -1) {
				out = append(out, found{m[1], path})
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch v := n.(type) {
		case *ast.BasicLit:
			if s, err := strconv.Unquote(v.Value); err == nil && v.Kind == token.STRING {
				take(s)
			}
		case *ast.KeyValueExpr:
			if name, ok := v.Key.(*ast.Ident); ok && science[packageOf(path)] && (strings.HasSuffix(name.Name, "Source") || name.Name == "Sources") {
				out = append(out, texts(v.Value, path)...)
			}
		}
		return true
	})
	return out
}

// texts returns the first words of the texts in the expression: "FAO56 eq. 6" names FAO56. Your own figures have no key.
func texts(e ast.Expr, path string) []found {
	var out []found
	ast.Inspect(e, func(n ast.Node) bool {
		lit, ok := n.(*ast.BasicLit)
		if !ok || lit.Kind != token.STRING {
			return true
		}
		s, err := strconv.Unquote(lit.Value)
		if key, _, _ := strings.Cut(s, " "); err == nil && key != "" && key != "own" {
			out = append(out, found{key, path})
		}
		return true
	})
	return out
}
