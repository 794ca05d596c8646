package web_test

import (
	"strings"
	"testing"
)

func TestTheQuestionsLeadToTheCalculators(t *testing.T) {
	s := newSite(t, demoRecords())
	if body := s.get("/ask").Body.String(); !strings.Contains(body, `<a class="do plain" href="/reckon">One number by hand</a>`) {
		t.Error("the page of questions has no link to the calculators")
	}
}
