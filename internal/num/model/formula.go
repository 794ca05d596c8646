package model

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// Term is a set of the variables of a Formula, one bit each; the empty set is the mean.
type Term uint64

// Contains tells whether t has all variables of u and more.
func (t Term) Contains(u Term) bool { return t != u && t&u == u }

// Degree is the number of variables.
func (t Term) Degree() int { return bits.OnesCount64(uint64(t)) }

func (t Term) has(variable int) bool { return t>>variable&1 == 1 }

// Formula is an expanded formula: its terms by degree, then by appearance. The mean is always in it and never listed.
type Formula struct {
	Text      string
	Variables []string // in order of appearance
	Terms     []Term

	role    string
	where   []int // character at which each variable first stands
	squared Term  // variables that were multiplied by themselves
}

// Name writes a term in the notation: variables in order of appearance, joined by colons; the mean is 1.
func (f Formula) Name(t Term) string {
	if t == 0 {
		return "1"
	}
	var parts []string
	for i, v := range f.Variables {
		if t.has(i) {
			parts = append(parts, Quote(v))
		}
	}
	return strings.Join(parts, ":")
}

// Find returns the term of that set of names, whether the formula lists it or not; false when a name is not in the formula.
func (f Formula) Find(names []string) (Term, bool) {
	var t Term
	for _, n := range names {
		i := slices.Index(f.Variables, n)
		if i < 0 {
			return 0, false
		}
		t |= 1 << i
	}
	return t, true
}

// Has tells whether the formula lists the term; the mean is always there.
func (f Formula) Has(t Term) bool { return t == 0 || slices.Contains(f.Terms, t) }

// Quote writes a column name as it stands in a formula: in backquotes where it has other characters than letters,
// digits, . and _, or could be taken for the mean.
func Quote(name string) string {
	ok := name != "" && name != "1"
	for _, r := range name {
		ok = ok && inName(r)
	}
	if ok {
		return name
	}
	return "`" + strings.ReplaceAll(name, "`", "``") + "`"
}

// Parse reads a formula. The role ("treatments", "blocks") is for messages; columns are the names that exist, and a
// name that is not among them is refused with the nearest one. Errors are *Error with the character.
//
// Operators bind as Rogers (1973, Algorithm AS 65) orders them: ":" first, then "/", then "*", then "+" and "-" from
// left to right. An empty formula is the mean alone.
func Parse(role, text string, columns []string) (Formula, error) {
	tokens, err := scan(role, text)
	if err != nil {
		return Formula{}, err
	}
	p := parser{f: Formula{Text: text, role: role}, tokens: tokens, columns: columns}
	if len(tokens) == 1 {
		return p.f, nil
	}
	terms, err := p.sum()
	if err != nil {
		return Formula{}, err
	}
	if t := p.peek(); t.kind != end {
		return Formula{}, p.unexpected(t)
	}
	for _, t := range terms {
		if t != 0 {
			p.f.Terms = append(p.f.Terms, t)
		}
	}
	slices.SortStableFunc(p.f.Terms, func(a, b Term) int { return a.Degree() - b.Degree() })
	return p.f, nil
}

// ParseTerm reads one term: a column name as it is, or names joined by colons.
func ParseTerm(role, text string, columns []string) ([]string, error) {
	if slices.Contains(columns, text) {
		return []string{text}, nil
	}
	f, err := Parse(role, text, columns)
	if err != nil {
		return nil, err
	}
	if len(f.Terms) != 1 {
		return nil, &Error{Formula: role, Text: fmt.Sprintf("%q is not one term", text), Hint: "name one factor, or A:B for the cells of two; give the option once for each"}
	}
	return f.Variables, nil
}

const (
	mostVariables = 60
	mostTerms     = 2000
	deepest       = 100
)

type parser struct {
	f       Formula
	tokens  []token
	i       int
	depth   int
	columns []string
}

func (p *parser) peek() token { return p.tokens[p.i] }

func (p *parser) accept(op rune) bool {
	if t := p.peek(); t.kind == operator && t.op == op {
		p.i++
		return true
	}
	return false
}

func (p *parser) fail(at int, text, hint string) error {
	return &Error{Formula: p.f.role, At: at, Text: text, Hint: hint}
}

func (p *parser) unexpected(t token) error {
	hint := "terms are joined by + * : / or -"
	switch {
	case t.kind == end:
		return p.fail(t.at, "the formula ends too soon", "a name or a bracket is wanted here")
	case t.kind == name:
		return p.fail(t.at, fmt.Sprintf("%q follows without an operator", t.text), hint+", and a name with a space stands in `backquotes`")
	}
	return p.fail(t.at, fmt.Sprintf("%q cannot stand here", string(t.op)), hint)
}

func (p *parser) sum() ([]Term, error) {
	if p.depth++; p.depth > deepest {
		return nil, p.fail(p.peek().at, "the brackets are nested too deeply", "write the formula out")
	}
	defer func() { p.depth-- }()
	var terms []Term
	for first := true; ; first = false {
		at := p.peek().at
		minus := p.accept('-')
		if !minus && !p.accept('+') && !first {
			return terms, nil
		}
		next, err := p.cross()
		if err != nil {
			return nil, err
		}
		if minus {
			terms, err = p.remove(at, terms, next)
		} else {
			terms, err = p.merge(at, terms, next)
		}
		if err != nil {
			return nil, err
		}
	}
}

func (p *parser) cross() ([]Term, error) {
	left, err := p.nest()
	for err == nil && p.peek().op == '*' {
		at := p.peek().at
		p.i++
		var right, both []Term
		if right, err = p.nest(); err != nil {
			break
		}
		if both, err = p.product(at, left, right); err != nil {
			break
		}
		if left, err = p.merge(at, left, right); err == nil {
			left, err = p.merge(at, left, both)
		}
	}
	return left, err
}

func (p *parser) nest() ([]Term, error) {
	left, err := p.dot()
	for err == nil && p.peek().op == '/' {
		at := p.peek().at
		p.i++
		var right []Term
		if right, err = p.dot(); err != nil {
			break
		}
		var all Term
		for _, t := range left {
			all |= t
		}
		if right, err = p.product(at, []Term{all}, right); err == nil {
			left, err = p.merge(at, left, right)
		}
	}
	return left, err
}

func (p *parser) dot() ([]Term, error) {
	left, err := p.atom()
	for err == nil && p.peek().op == ':' {
		at := p.peek().at
		p.i++
		var right []Term
		if right, err = p.atom(); err == nil {
			left, err = p.product(at, left, right)
		}
	}
	return left, err
}

func (p *parser) atom() ([]Term, error) {
	t := p.peek()
	switch {
	case t.kind == mean:
		p.i++
		return []Term{0}, nil
	case t.kind == name:
		p.i++
		return p.variable(t)
	case p.accept('('):
		inner, err := p.sum()
		if err == nil && !p.accept(')') {
			if p.peek().kind == end {
				return nil, p.fail(t.at, "this bracket is never closed", "add a )")
			}
			err = p.unexpected(p.peek())
		}
		return inner, err
	}
	return nil, p.unexpected(t)
}

func (p *parser) variable(t token) ([]Term, error) {
	i := slices.Index(p.f.Variables, t.text)
	if i >= 0 {
		return []Term{1 << i}, nil
	}
	if p.columns != nil && !slices.Contains(p.columns, t.text) {
		e := noColumn(t.text, p.columns)
		e.Formula, e.At = p.f.role, t.at
		if parts := strings.Split(t.text, "."); len(parts) > 1 && !slices.ContainsFunc(parts, func(s string) bool { return !slices.Contains(p.columns, s) }) {
			e.Hint = "what belongs together is joined by a colon: " + strings.Join(parts, ":")
		}
		if t.text == "0" {
			e.Hint = "the formula always has a mean"
		}
		return nil, e
	}
	if len(p.f.Variables) == mostVariables {
		return nil, p.fail(t.at, fmt.Sprintf("the formula names more than %d columns", mostVariables), "leave some out")
	}
	p.f.Variables = append(p.f.Variables, t.text)
	p.f.where = append(p.f.where, t.at)
	return []Term{1 << (len(p.f.Variables) - 1)}, nil
}

func (p *parser) merge(at int, terms, more []Term) ([]Term, error) {
	terms = slices.Clone(terms)
	for _, t := range more {
		if !slices.Contains(terms, t) {
			terms = append(terms, t)
		}
	}
	if len(terms) > mostTerms {
		return nil, p.fail(at, fmt.Sprintf("the formula has more than %d terms", mostTerms), "cross fewer columns")
	}
	return terms, nil
}

func (p *parser) remove(at int, terms, gone []Term) ([]Term, error) {
	for _, t := range gone {
		if t == 0 {
			return nil, p.fail(at, "the mean cannot be taken out", "leave the 1 away")
		}
		if !slices.Contains(terms, t) {
			return nil, p.fail(at, fmt.Sprintf("there is no term %s here to take away", p.f.Name(t)), "only terms that stand before the - can be removed")
		}
	}
	return slices.DeleteFunc(slices.Clone(terms), func(t Term) bool { return slices.Contains(gone, t) }), nil
}

func (p *parser) product(at int, left, right []Term) ([]Term, error) {
	if len(left)*len(right) > 20*mostTerms {
		return nil, p.fail(at, fmt.Sprintf("the formula has more than %d terms", mostTerms), "cross fewer columns")
	}
	var out []Term
	seen := make(map[Term]bool)
	for _, a := range left {
		for _, b := range right {
			p.f.squared |= a & b
			if t := a | b; !seen[t] {
				seen[t] = true
				out = append(out, t)
			}
		}
	}
	return out, nil
}
