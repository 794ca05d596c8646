package word

import (
	"strings"
	"unicode"
)

// Unseen reports whether a letter drives a terminal or turns the direction of writing instead of being seen: control characters, and
// the marks of the Unicode bidirectional algorithm that embed, override and isolate (UAX 9, section 2). Joiners inside words are none.
func Unseen(r rune) bool {
	return unicode.IsControl(r) || r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069'
}

// Plain returns the text with U+FFFD for each letter that is not seen; line breaks and tabs stay. A name that came in with
// somebody's file can so do nothing to the screen it is shown on.
func Plain(text string) string {
	return strings.Map(func(r rune) rune {
		if Unseen(r) && r != '\n' && r != '\t' {
			return unicode.ReplacementChar
		}
		return r
	}, text)
}
