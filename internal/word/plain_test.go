package word_test

import (
	"testing"

	"fairplot/internal/word"
)

func TestPlain(t *testing.T) {
	for text, want := range map[string]string{
		"two\nlines\tand a tab":  "two\nlines\tand a tab",
		"red \x1b[31m, bell \a":  "red \uFFFD[31m, bell \uFFFD",
		"one byte \u009b2J":      "one byte \uFFFD2J",
		"not UTF-8 \x9b2J":       "not UTF-8 \uFFFD2J",
		"\u202eturned":           "\uFFFDturned",
		"नीम\u200dका, Möhre, 白菜": "नीम\u200dका, Möhre, 白菜",
	} {
		if got := word.Plain(text); got != want {
			t.Errorf("%q: got %q, want %q", text, got, want)
		}
	}
}
