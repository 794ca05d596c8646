package model

import (
	"fmt"
	"strings"
	"unicode"
)

type kind uint8

const (
	end kind = iota
	name
	mean
	operator
)

type token struct {
	kind kind
	text string
	op   rune // of an operator
	at   int  // character, counted from 1
}

func inName(r rune) bool {
	return r == '.' || r == '_' || unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r)
}

// scan cuts a formula into tokens; the last one is always end.
func scan(role, text string) ([]token, error) {
	var out []token
	runes := []rune(text)
	for i := 0; i < len(runes); {
		r, at := runes[i], i+1
		switch {
		case unicode.IsSpace(r):
			i++
		case strings.ContainsRune("+*:/-()", r):
			out = append(out, token{kind: operator, op: r, at: at})
			i++
		case r == '`':
			quoted, n := unquote(runes[i:])
			if n == 0 {
				return nil, &Error{Formula: role, At: at, Text: "this backquote is never closed", Hint: "a name in backquotes needs one on each side"}
			}
			if quoted == "" {
				return nil, &Error{Formula: role, At: at, Text: "there is no name between these backquotes", Hint: "write the column's name between them"}
			}
			out = append(out, token{kind: name, text: quoted, at: at})
			i += n
		case inName(r):
			n := i
			for n < len(runes) && inName(runes[n]) {
				n++
			}
			t := token{kind: name, text: string(runes[i:n]), at: at}
			if t.text == "1" {
				t.kind = mean
			}
			out = append(out, t)
			i = n
		default:
			return nil, &Error{Formula: role, At: at, Text: fmt.Sprintf("%q has no meaning in a formula", string(r)), Hint: stray(r)}
		}
	}
	return append(out, token{kind: end, at: len(runes) + 1}), nil
}

func stray(r rune) string {
	switch r {
	case '~':
		return "the response is named apart; the formula is what stands to the right of it"
	case '|':
		return "random groupings are written in the block formula, without brackets and bars"
	}
	return "the operators are + * : / - ( ); a name with other characters than letters, digits, . and _ stands in `backquotes`"
}

// unquote reads a name in backquotes, a doubled one standing for itself, and how many characters it took; 0 when it never ends.
func unquote(s []rune) (string, int) {
	var b strings.Builder
	for i := 1; i < len(s); i++ {
		if s[i] != '`' {
			b.WriteRune(s[i])
			continue
		}
		if i+1 < len(s) && s[i+1] == '`' {
			b.WriteRune('`')
			i++
			continue
		}
		return b.String(), i + 1
	}
	return "", 0
}
