package model

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
)

// plots builds a small table; the first line is the header, cells are parted by spaces and "." is an empty cell.
func plots(t *testing.T, text string) Table {
	t.Helper()
	var rows [][]string
	var lines []int
	for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
		cells := strings.Fields(line)
		for j, c := range cells {
			if c == "." {
				cells[j] = ""
			}
		}
		rows, lines = append(rows, cells), append(lines, i+1)
	}
	table, err := NewTable(rows[0], rows[1:], lines[1:])
	if err != nil {
		t.Fatal(err)
	}
	return table
}

const small = `
rep variety dose kg x note
1 B 10 5.5 1 a
1 A 2 4.5 2 b
2 B 2 . 3 .
2 A 10 6.0 4 a
2 C 2 NA . b
2 B 10 7.0 5 lost
`

func TestColumnsAreTypedByTheFormulaTheyStandIn(t *testing.T) {
	table := plots(t, small)
	f, err := Read(table, Request{Response: "kg", Treatments: "variety + dose + x", Blocks: "rep/x"})
	if err != nil {
		t.Fatal(err)
	}
	if f.Rows() != 4 || f.LeftOut != 2 {
		t.Errorf("%d rows and %d left out, want 4 and 2", f.Rows(), f.LeftOut)
	}
	variety, dose := f.Variables[0], f.Variables[1]
	// C stands in a row without a response and does not exist.
	if got := strings.Join(variety.Levels, " "); got != "A B" {
		t.Errorf("levels of variety: %s", got)
	}
	if dose.Categorical() || dose.Mean != 8 {
		t.Errorf("dose is a category: %v, of mean %g; want a covariate of mean 8", dose.Categorical(), dose.Mean)
	}
	if f.blocks[1].Categorical() != true {
		t.Error("x is a number in the block formula")
	}
	f, err = Read(table, Request{Response: "kg", Treatments: "variety + dose", Categories: []string{"dose"}, References: []Setting{{"variety", "B"}}})
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(f.Variables[0].Levels, " ") + " " + strings.Join(f.Variables[1].Levels, " "); got != "B A 2 10" {
		t.Errorf("levels with B as the reference: %s, want B A 2 10", got)
	}
}

func TestColumnsFromNumbersAndNames(t *testing.T) {
	table, err := Of(Numbers("kg", []float64{1, math.NaN(), 3}), Text("garden", []string{"a", "b", "c"}), Numbers("year", []float64{2019, 2020, 2021}))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(table, Request{Response: "kg", Treatments: "garden+year", Categories: []string{"year"}})
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(f.Variables[1].Levels, " "); got != "2019 2021" || f.LeftOut != 1 {
		t.Errorf("levels of year %q, %d left out", got, f.LeftOut)
	}
	if _, err := Of(Numbers("a", make([]float64, 2)), Text("b", make([]string, 3))); err == nil {
		t.Error("columns of different length were taken")
	}
}

// Every refusal names the line of the file, the column, and what to do.
func TestTablesAreRefusedWithLineColumnAndCure(t *testing.T) {
	for _, c := range []struct {
		name  string
		table string
		r     Request
		says  string
	}{
		{"word in the response", "kg a\n1 x\ntwo y", Request{Response: "kg", Treatments: "a"}, `line 3, column kg: "two" is not a number; write a number, or leave the cell empty where nothing was measured`},
		{"lower-case nan", "kg a\n1 x\nnan y", Request{Response: "kg", Treatments: "a"}, `line 3, column kg: "nan" is not a number`},
		{"infinite response", "kg a\n1 x\nInf y", Request{Response: "kg", Treatments: "a"}, `line 3, column kg: Inf is too large to work with`},
		{"overflowing response", "kg a\n1 x\n-1e999 y", Request{Response: "kg", Treatments: "a"}, `line 3, column kg: -1e999 is too large`},
		{"infinite covariate", "kg a\n1 3\n2 -Inf", Request{Response: "kg", Treatments: "a"}, `line 3, column a: -Inf is too large`},
		{"infinite category", "kg a\n1 3\n2 Inf", Request{Response: "kg", Treatments: "a", Categories: []string{"a"}}, `line 3, column a: Inf is too large`},
		{"infinite block", "kg a\n1 3\n2 Inf", Request{Response: "kg", Treatments: "1", Blocks: "a"}, `line 3, column a: Inf is too large`},
		{"missing covariate", "kg a\n1 3\n2 NaN", Request{Response: "kg", Treatments: "a"}, `line 3, column a: the cell is missing, beside a response; fill it in`},
		{"missing category", "kg a\n. .\n1 u\n2 .", Request{Response: "kg", Treatments: "a"}, `line 4, column a: the cell is missing`},
		{"missing block", "kg a b\n1 u 1\n2 v NA", Request{Response: "kg", Treatments: "a", Blocks: "b"}, `line 3, column b: the cell is missing`},
		{"no such response", "kg a\n1 u", Request{Response: "kgs", Treatments: "a"}, `there is no column "kgs"; did you mean kg?`},
		{"no response named", "kg a\n1 u", Request{Treatments: "a"}, `no response is named`},
		{"no such treatment", "kg variety\n1 u", Request{Response: "kg", Treatments: "varitey"}, `treatments, character 1: there is no column "varitey"; did you mean variety?`},
		{"no such block", "kg variety\n1 u", Request{Response: "kg", Treatments: "variety", Blocks: "rep/variety"}, `blocks, character 1: there is no column "rep"; the columns are kg and variety`},
		{"no such category", "kg a\n1 u", Request{Response: "kg", Treatments: "a", Categories: []string{"b"}}, `there is no column "b"`},
		{"response explains itself", "kg a\n1 u", Request{Response: "kg", Treatments: "a+kg"}, `column kg, treatments: the response cannot explain itself`},
		{"nothing measured", "kg a\n. u\nNA v", Request{Response: "kg", Treatments: "a"}, `column kg: no row has a response`},
		{"zero under the log", "kg a\n1 u\n0 v", Request{Response: "kg", Treatments: "a", Log: true}, `line 3, column kg: 0 has no logarithm`},
		{"negative under the log", "kg a\n1 u\n-2 v", Request{Response: "kg", Treatments: "a", Log: true}, `line 3, column kg: -2 has no logarithm`},
		{"reference that is not there", "kg a\n1 u\n2 vase", Request{Response: "kg", Treatments: "a", References: []Setting{{"a", "vas"}}}, `column a: it has no level "vas" in the analysed rows; did you mean vase?`},
		{"reference of a covariate", "kg a\n1 1\n2 2", Request{Response: "kg", Treatments: "a", References: []Setting{{"a", "1"}}}, `column a: a reference level is given for it, but it is no category`},
		{"squared covariate", "kg a\n1 1\n2 2", Request{Response: "kg", Treatments: "a*a"}, `treatments, character 1: a is a column of numbers and is multiplied by itself; write its square as a column of its own`},
		{"zero weight", "kg a w\n1 u 1\n2 v 0", Request{Response: "kg", Treatments: "a", Weights: "w"}, `line 3, column w: the weight "0" is not a number above zero`},
		{"missing weight", "kg a w\n1 u 1\n2 v .", Request{Response: "kg", Treatments: "a", Weights: "w"}, `line 3, column w: the weight "" is not a number above zero`},
	} {
		_, err := Read(plots(t, c.table), c.r)
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.name, err, c.says)
		}
	}
}

func TestHeadersAndWidths(t *testing.T) {
	_, err := NewTable([]string{"a", "b", "a"}, nil, nil)
	if err == nil || err.Error() != "column a: columns 1 and 3 have the same header; rename one of them" {
		t.Errorf("repeated header: %v", err)
	}
	_, err = NewTable([]string{"a", "b"}, [][]string{{"1", "2"}, {"1", "2", "3"}}, []int{2, 5})
	if err == nil || !strings.Contains(err.Error(), "line 5: the row has 3 cells, the header 2") {
		t.Errorf("wide row: %v", err)
	}
	_, err = NewTable([]string{"a", "b"}, [][]string{{"1"}}, nil)
	if err == nil || !strings.Contains(err.Error(), "row 1: the row has 1 cells") {
		t.Errorf("short row: %v", err)
	}
}

func TestWordsAmongNumbersAreNamed(t *testing.T) {
	f, err := Read(plots(t, "kg dose\n1 10\n2 20\n3 30\n4 control"), Request{Response: "kg", Treatments: "dose"})
	if err != nil {
		t.Fatal(err)
	}
	if !f.Variables[0].Categorical() || len(f.Doubts) != 1 || f.Doubts[0].Code != MixedColumn || !strings.Contains(f.Doubts[0].Says, `line 5, column dose: "control" is a word among numbers`) {
		t.Errorf("category %v, doubts %v", f.Variables[0].Categorical(), f.Doubts)
	}
	f, err = Read(plots(t, "kg dose\n1 1\n2 1.0\n3 2"), Request{Response: "kg", Treatments: "dose", Categories: []string{"dose"}})
	if err != nil || len(f.Doubts) != 1 || f.Doubts[0].Code != SameNumber {
		t.Errorf("1 and 1.0: %v, %v", f.Doubts, err)
	}
}

func TestCrossNumbersTheCombinations(t *testing.T) {
	a, b := []int32{1, 0, 1, 0, 2}, []int32{0, 1, 0, 0, 1}
	got, n := cross(a, 3, b, 2)
	if fmt.Sprint(got) != "[2 1 2 0 3]" || n != 4 {
		t.Errorf("%v, %d", got, n)
	}
	// A wide pair of classifications takes the other road and must give the same numbers.
	wide, m := cross([]int32{4000, 0, 4000, 0, 7000}, 8000, []int32{0, 1, 0, 0, 1}, 2)
	if fmt.Sprint(wide) != fmt.Sprint(got) || m != n {
		t.Errorf("%v, %d by sorting; %v, %d by counting", wide, m, got, n)
	}
}
