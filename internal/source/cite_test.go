package source_test

import (
	"strings"
	"testing"

	"fairplot/internal/source"
)

// A reference has one stop between its parts, whether or not the part before ends in initials.
func TestReferencesHaveSingleStops(t *testing.T) {
	for want, s := range map[string]source.Source{
		"Smith, H. F. (1938). An empirical law. Journal 28": {Authors: "Smith, H. F.", Year: 1938, Title: "An empirical law", Publisher: "Journal 28"},
		"Perry, E. Wood ash in the garden":                  {Authors: "Perry, E.", Title: "Wood ash in the garden"},
		"AHDB. Lime":                                        {Authors: "AHDB", Title: "Lime"},
		"Handbook, 4th ed. As reprinted":                    {Title: "Handbook, 4th ed.", Publisher: "As reprinted"},
	} {
		if got := s.Cite(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	for _, s := range source.All() {
		if c := s.Cite(); strings.Contains(c, "..") || strings.HasPrefix(c, ".") {
			t.Errorf("%s is cited %q", s.Key, c)
		}
	}
}

// What was read at its source needs no word; what was not, has one.
func TestMarksStandInWordsBehindTheirSource(t *testing.T) {
	for mark, want := range map[source.Status]string{source.Read: "KEY", source.Recomputed: "KEY", source.SecondHand: "KEY, second-hand", source.FromMemory: "KEY, from memory"} {
		if got := mark.Behind("KEY"); got != want {
			t.Errorf("%s: %q, want %q", mark, got, want)
		}
	}
	for _, mark := range []source.Status{source.Reprinted, source.Derived, source.Computed, source.YourOwn} {
		if mark.Behind("KEY") == "KEY" {
			t.Errorf("%s has no word", mark)
		}
	}
}
