package model

import (
	"fmt"
	"math"
	"slices"
)

// Setting is one level of one factor.
type Setting struct{ Factor, Level string }

// Request says what of a table is to be analysed.
type Request struct {
	Response   string
	Treatments string // formula; columns of numbers in it are covariates unless Categories names them
	Blocks     string // formula of the random groupings; "" for none
	Categories []string
	References []Setting // levels that come first
	Weights    string    // column of relative weights; "" for equal ones
	Log        bool      // analyse the logarithm of the response
}

// Variable is a column of the treatment formula over the analysed rows: a category with Levels and Class, or a
// covariate with Value.
type Variable struct {
	Name   string
	Levels []string // in natural order, the reference first; nil for a covariate
	Class  []int32  // index into Levels, one a row
	Value  []float64
	Mean   float64 // of Value
}

// Categorical tells a category from a covariate.
func (v Variable) Categorical() bool { return v.Value == nil }

// Frame is the analysed rows of a table, read for one request.
type Frame struct {
	Treatments Formula
	Blocks     Formula
	Variables  []Variable // of Treatments, in its order
	Response   []float64  // or its logarithm
	Weights    []float64  // nil where all are equal
	LeftOut    int        // rows without a response
	Doubts     []Doubt

	blocks []Variable // of Blocks
	rows   []int      // analysed rows of the table
}

// Rows returns the number of analysed rows.
func (f *Frame) Rows() int { return len(f.rows) }

// largest is where squares still fit a double with room for their sum.
const largest = 1e120

// Read picks the rows with a response and reads the columns of the model. Errors are *Error.
func Read(t Table, r Request) (*Frame, error) {
	f := &Frame{}
	names := t.Names()
	var err error
	if f.Treatments, err = Parse("treatments", r.Treatments, names); err != nil {
		return nil, err
	}
	if f.Blocks, err = Parse("blocks", r.Blocks, names); err != nil {
		return nil, err
	}
	if err = f.response(t, r); err != nil {
		return nil, err
	}
	if err = f.weights(t, r.Weights); err != nil {
		return nil, err
	}
	for _, c := range r.Categories {
		if _, err := t.column(c); err != nil {
			return nil, err
		}
	}
	for i, v := range f.Treatments.Variables {
		if err = f.variable(t, i, v, slices.Contains(r.Categories, v)); err != nil {
			return nil, err
		}
	}
	for _, v := range f.Blocks.Variables {
		c, _ := t.column(v)
		block, err := f.category(t, c)
		if err != nil {
			return nil, err
		}
		f.blocks = append(f.blocks, block)
	}
	return f, f.refer(t, r.References)
}

func (f *Frame) response(t Table, r Request) error {
	if r.Response == "" {
		return &Error{Text: "no response is named", Hint: "name the column that was measured"}
	}
	c, err := t.column(r.Response)
	if err != nil {
		return err
	}
	for _, formula := range []Formula{f.Treatments, f.Blocks} {
		if slices.Contains(formula.Variables, c.Name) {
			return &Error{Formula: formula.role, Column: c.Name, Text: "the response cannot explain itself", Hint: "take it out of the formula"}
		}
	}
	for i := range t.rows {
		v, ok := c.number(i)
		switch {
		case !ok:
			return t.at(i, &Error{Column: c.Name, Text: fmt.Sprintf("%q is not a number", c.cell(i)), Hint: "write a number, or leave the cell empty where nothing was measured"})
		case math.IsNaN(v):
			f.LeftOut++
			continue
		case math.Abs(v) > largest:
			return t.at(i, &Error{Column: c.Name, Text: fmt.Sprintf("%s is too large to work with", c.cell(i)), Hint: "mend the cell, or leave it empty"})
		case r.Log && v <= 0:
			return t.at(i, &Error{Column: c.Name, Text: fmt.Sprintf("%s has no logarithm", c.cell(i)), Hint: "analyse without the logarithm, or count failures apart and leave the cell empty"})
		case r.Log:
			v = math.Log(v)
		}
		f.Response = append(f.Response, v)
		f.rows = append(f.rows, i)
	}
	if len(f.rows) == 0 {
		return &Error{Column: c.Name, Text: "no row has a response", Hint: "there is nothing to analyse"}
	}
	return nil
}

func (f *Frame) weights(t Table, name string) error {
	if name == "" {
		return nil
	}
	c, err := t.column(name)
	if err != nil {
		return err
	}
	for _, i := range f.rows {
		v, ok := c.number(i)
		if !ok || !(v > 0) || v > largest || v < 1/largest {
			return t.at(i, &Error{Column: c.Name, Text: fmt.Sprintf("the weight %q is not a number above zero", c.cell(i)), Hint: "give every row with a response a weight"})
		}
		f.Weights = append(f.Weights, v)
	}
	return nil
}

// variable reads a column of the treatment formula.
func (f *Frame) variable(t Table, i int, name string, category bool) error {
	c, _ := t.column(name)
	if !category {
		numbers, words, firstWord := kinds(t, c)
		if words == 0 && numbers > 0 {
			v, err := f.covariate(t, c)
			if err == nil && f.Treatments.squared.has(i) {
				err = &Error{Formula: "treatments", At: f.Treatments.where[i], Text: fmt.Sprintf("%s is a column of numbers and is multiplied by itself", name), Hint: "write its square as a column of its own"}
			}
			f.Variables = append(f.Variables, v)
			return err
		}
		if numbers > words {
			e := t.at(firstWord, &Error{Column: name, Text: fmt.Sprintf("%q is a word among numbers, so the whole column was read as categories", c.cell(firstWord))})
			f.Doubts = append(f.Doubts, Doubt{Code: MixedColumn, Says: e.Error(), Number: Finite(float64(words))})
		}
	}
	v, err := f.category(t, c)
	f.Variables = append(f.Variables, v)
	return err
}

// kinds counts numbers and words over all rows of a column, missing cells apart, and finds the first word.
func kinds(t Table, c Column) (numbers, words, firstWord int) {
	for i := range t.rows {
		switch v, ok := c.number(i); {
		case !ok && words == 0:
			words, firstWord = 1, i
		case !ok:
			words++
		case !math.IsNaN(v):
			numbers++
		}
	}
	return numbers, words, firstWord
}

func (f *Frame) absent(t Table, c Column, i int) error {
	return t.at(i, &Error{Column: c.Name, Text: "the cell is missing, beside a response", Hint: "fill it in, or leave the response of that row empty so that the row is left out"})
}

func (f *Frame) endless(t Table, c Column, i int) error {
	return t.at(i, &Error{Column: c.Name, Text: fmt.Sprintf("%s is too large to work with", c.cell(i)), Hint: "mend the cell, or leave the response of that row empty so that the row is left out"})
}

func (f *Frame) covariate(t Table, c Column) (Variable, error) {
	v := Variable{Name: c.Name, Value: make([]float64, len(f.rows))}
	for k, i := range f.rows {
		x, _ := c.number(i)
		if math.IsNaN(x) {
			return v, f.absent(t, c, i)
		}
		if math.Abs(x) > largest {
			return v, f.endless(t, c, i)
		}
		v.Value[k] = x
	}
	v.Mean = average(v.Value)
	return v, nil
}

// average is the mean, corrected once by the mean of the differences from it: exact to the last digit for a constant.
func average(values []float64) float64 {
	n := float64(len(values))
	sum := 0.0
	for _, v := range values {
		sum += v / n
	}
	rest := 0.0
	for _, v := range values {
		rest += (v - sum) / n
	}
	return sum + rest
}

func (f *Frame) category(t Table, c Column) (Variable, error) {
	v := Variable{Name: c.Name, Class: make([]int32, len(f.rows))}
	index := make(map[string]int32, 16)
	allNumbers := true
	firstEndless := -1
	for k, i := range f.rows {
		label := c.cell(i)
		if label == "" {
			return v, f.absent(t, c, i)
		}
		id, known := index[label]
		if !known {
			id = int32(len(v.Levels))
			index[label] = id
			v.Levels = append(v.Levels, label)
			x, ok := number(label)
			allNumbers = allNumbers && ok
			if firstEndless < 0 && math.IsInf(x, 0) {
				firstEndless = i
			}
		}
		v.Class[k] = id
	}
	if allNumbers && firstEndless >= 0 {
		return v, f.endless(t, c, firstEndless)
	}
	v.order(Natural)
	f.spellings(v)
	return v, nil
}

// order sorts the levels and renumbers the classes.
func (v *Variable) order(compare func(a, b string) int) {
	if slices.IsSortedFunc(v.Levels, compare) {
		return
	}
	sorted := slices.Clone(v.Levels)
	slices.SortStableFunc(sorted, compare)
	place := make(map[string]int32, len(sorted))
	for i, l := range sorted {
		place[l] = int32(i)
	}
	move := make([]int32, len(sorted))
	for i, l := range v.Levels {
		move[i] = place[l]
	}
	for k, id := range v.Class {
		v.Class[k] = move[id]
	}
	v.Levels = sorted
}

func (f *Frame) spellings(v Variable) {
	for i := 1; i < len(v.Levels); i++ {
		if a, b := v.Levels[i-1], v.Levels[i]; sameNumber(a, b) {
			f.Doubts = append(f.Doubts, Doubt{Code: SameNumber, Says: fmt.Sprintf("column %s: %q and %q are one number in two spellings and were read as two categories; write it one way if they are one", v.Name, a, b)})
			return
		}
	}
}

// refer moves the reference levels to the front.
func (f *Frame) refer(t Table, refs []Setting) error {
	for _, r := range refs {
		if _, err := t.column(r.Factor); err != nil {
			return err
		}
		i := slices.IndexFunc(f.Variables, func(v Variable) bool { return v.Name == r.Factor })
		if i < 0 || !f.Variables[i].Categorical() {
			return &Error{Column: r.Factor, Text: "a reference level is given for it, but it is no category of the treatment formula", Hint: "name a category that stands there, or read its numbers as categories"}
		}
		v := &f.Variables[i]
		if err := v.level(r.Level); err != nil {
			return err
		}
		v.order(func(a, b string) int {
			switch {
			case a == b:
				return 0
			case a == r.Level:
				return -1
			case b == r.Level:
				return 1
			}
			return Natural(a, b)
		})
	}
	return nil
}

// level errs when the factor has no such level in the analysed rows.
func (v Variable) level(name string) error {
	if slices.Contains(v.Levels, name) {
		return nil
	}
	e := &Error{Column: v.Name, Text: fmt.Sprintf("it has no level %q in the analysed rows", name), Hint: "the levels are " + list(v.Levels, 12)}
	if near := nearest(name, v.Levels); near != "" {
		e.Hint = fmt.Sprintf("did you mean %s?", near)
	}
	return e
}
