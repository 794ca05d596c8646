package model

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

func names(t *testing.T, text string) string {
	t.Helper()
	f, err := Parse("treatments", text, nil)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	var out []string
	for _, u := range f.Terms {
		out = append(out, f.Name(u))
	}
	return strings.Join(out, " ")
}

// The expansions are those that Wilkinson & Rogers (1973) define; the order of binding is that of Rogers (1973), AS 65:
// compounding, nesting, crossing, adding.
func TestExpansion(t *testing.T) {
	for _, c := range [][2]string{
		{"", ""},
		{"1", ""},
		{"1 + a", "a"},
		{"a", "a"},
		{"a+b+a", "a b"},
		{"a:b", "a:b"},
		{"b:a + a", "a b:a"},
		{"a*b", "a b a:b"},
		{"a*b*c", "a b c a:b a:c b:c a:b:c"},
		{"a/b", "a a:b"},
		{"a/b/c", "a a:b a:b:c"},
		{"(a+b)/c", "a b a:b:c"},
		{"a/(b+c)", "a a:b a:c"},
		{"(a*b)/c", "a b a:b a:b:c"},
		{"a*b/c", "a b b:c a:b a:b:c"},
		{"a/b*c", "a c a:b a:c a:b:c"},
		{"a:b/c", "a:b a:b:c"},
		{"a*b - a:b", "a b"},
		{"a*b*c - a:b:c - (a:b + b:c)", "a b c a:c"},
		{"a*b - b + c", "a c a:b"},
		{"(a+b):(c+d)", "a:c a:d b:c b:d"},
		{"a*a", "a"},
		{"site:row + site:col", "site:row site:col"},
		{"  rep/( water +crop ) ", "rep rep:water rep:crop"},
		{"`plot no`/`a``b`", "`plot no` `plot no`:`a``b`"},
		{"Größe*N.2_x", "Größe N.2_x Größe:N.2_x"},
		{"`1` + a", "`1` a"},
		{"+a", "a"},
	} {
		if got := names(t, c[0]); got != c[1] {
			t.Errorf("%q expands to %q, want %q", c[0], got, c[1])
		}
	}
}

func TestFormulaErrorsPointAtThePlace(t *testing.T) {
	columns := []string{"variety", "nitro", "plot no", "Block"}
	for _, c := range []struct {
		text string
		at   int
		says []string
	}{
		{"variety+nitrp", 9, []string{`"nitrp"`, "did you mean nitro?"}},
		{"Variety", 1, []string{"did you mean variety?"}},
		{"variety*", 9, []string{"ends too soon"}},
		{"variety nitro", 9, []string{"without an operator", "backquotes"}},
		{"(variety", 1, []string{"never closed"}},
		{"variety)", 8, []string{`")" cannot stand here`}},
		{"variety ^ 2", 9, []string{`"^" has no meaning`}},
		{"yield ~ variety", 7, []string{"response is named apart"}},
		{"variety - 1", 9, []string{"mean cannot be taken out"}},
		{"variety - nitro", 9, []string{"no term nitro"}},
		{"`plot no", 1, []string{"backquote is never closed"}},
		{"``+variety", 1, []string{"no name between"}},
		{"variety++nitro", 9, []string{`"+" cannot stand here`}},
		{"variety+variety.nitro", 9, []string{"joined by a colon: variety:nitro"}},
		{"0+variety", 1, []string{"always has a mean"}},
		{"zzzzzz", 1, []string{"the columns are variety, nitro, plot no and Block"}},
		{"()", 2, []string{`")" cannot stand here`}},
		{strings.Repeat("(", 5000) + "variety", 101, []string{"nested too deeply"}},
	} {
		_, err := Parse("treatments", c.text, columns)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%.30q: got %v, want an *Error", c.text, err)
			continue
		}
		if e.At != c.at || e.Formula != "treatments" {
			t.Errorf("%.30q: at %d of %s, want %d (%v)", c.text, e.At, e.Formula, c.at, err)
		}
		for _, s := range c.says {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%.30q: %q does not say %q", c.text, err, s)
			}
		}
	}
}

func TestFormulaOfManyTermsIsRefused(t *testing.T) {
	letters := strings.Split("abcdefghijklmnopqrstuvwxyz", "")
	if _, err := Parse("treatments", strings.Join(letters, "*"), nil); err == nil || !strings.Contains(err.Error(), "terms") {
		t.Errorf("26 crossed columns: %v", err)
	}
	var many []string
	for _, a := range letters {
		for _, b := range letters[:3] {
			many = append(many, a+b)
		}
	}
	if _, err := Parse("treatments", strings.Join(many, "+"), nil); err == nil || !strings.Contains(err.Error(), "more than 60 columns") {
		t.Errorf("78 columns: %v", err)
	}
}

// FuzzParse: any text gives terms or an *Error, and the terms written out again give the same terms.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"a*b/c-a:b", "(a+b)/c", "`x y`:z", "1", "-a", "a//b", "((((", "a:1*1/b", "\x00`"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := Parse("treatments", text, nil)
		if err != nil {
			var e *Error
			if !errors.As(err, &e) || e.At < 1 || e.At > len([]rune(text))+1 {
				t.Fatalf("%q: error %v without a place in the text", text, err)
			}
			return
		}
		var parts []string
		for _, u := range got.Terms {
			parts = append(parts, got.Name(u))
		}
		again, err := Parse("treatments", strings.Join(parts, "+"), nil)
		if err != nil {
			t.Fatalf("%q became %q, which is refused: %v", text, parts, err)
		}
		var round []string
		for _, u := range again.Terms {
			round = append(round, again.Name(u))
		}
		slices.Sort(parts)
		slices.Sort(round)
		if len(parts) != len(round) {
			t.Fatalf("%q: %q became %q", text, parts, round)
		}
	})
}

func TestParseTerm(t *testing.T) {
	columns := []string{"a", "b", "plot no", "x:y"}
	for text, want := range map[string][]string{"a": {"a"}, "b:a": {"b", "a"}, "plot no": {"plot no"}, "x:y": {"x:y"}, "`plot no`:a": {"plot no", "a"}} {
		if got, err := ParseTerm("compare", text, columns); err != nil || !slices.Equal(got, want) {
			t.Errorf("%q: %q, %v, want %q", text, got, err, want)
		}
	}
	for _, bad := range []string{"a+b", "a*b", "", "1", "c"} {
		if _, err := ParseTerm("compare", bad, columns); err == nil {
			t.Errorf("%q was taken as one term", bad)
		}
	}
}

func TestNaturalOrder(t *testing.T) {
	for _, want := range [][]string{
		{"2", "10"},
		{"-5", "-0.5", "0", "0.2", "0.25", "0.5", "1e1", "a"},
		{"plot 2", "plot 10", "plot 10b"},
		{"0.25 m", "0.5 m", "2 m", "10 m"},
		{"A", "B", "a", "ä"},
		{"x1y2", "x1y10", "x2y1"},
	} {
		got := slices.Clone(want)
		slices.Reverse(got)
		slices.SortFunc(got, Natural)
		if !slices.Equal(got, want) {
			t.Errorf("sorted %q, want %q", got, want)
		}
	}
}

// FuzzNatural: it is an order.
func FuzzNatural(f *testing.F) {
	f.Add("1", "01", "1.0")
	f.Add("a1.5", "a1.10", "a1")
	f.Add("0x", "00x", "0.0x")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		if Natural(a, b) != -Natural(b, a) {
			t.Fatalf("%q and %q: %d and %d", a, b, Natural(a, b), Natural(b, a))
		}
		if (Natural(a, b) == 0) != (a == b) {
			t.Fatalf("%q and %q count as equal: %v", a, b, Natural(a, b) == 0)
		}
		if Natural(a, b) < 0 && Natural(b, c) < 0 && Natural(a, c) >= 0 {
			t.Fatalf("%q < %q < %q, but not the first before the last", a, b, c)
		}
	})
}

func TestNumbersAreReadByOneGrammar(t *testing.T) {
	for _, s := range []string{"1", "-1.5", "+2", ".5", "5.", "1e3", "1E-3", "Inf", "-inf", "1e999"} {
		if _, ok := number(s); !ok {
			t.Errorf("%q is not read as a number", s)
		}
	}
	for _, s := range []string{"", "nan", "0x1p3", "1_000", "1,5", "1e", "e5", ".", "--1", "1.2.3", "infinite", "+-inf", "1 2", "١"} {
		if v, ok := number(s); ok {
			t.Errorf("%q is read as %g", s, v)
		}
	}
}
