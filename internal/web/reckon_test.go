package web_test

import (
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"fairplot/internal/reckon"
	"fairplot/internal/web"
)

// calculators are served without a book: they read no records.
func calculators(t *testing.T) http.Handler {
	t.Helper()
	s, err := web.New(web.Config{Name: "test"})
	if err != nil {
		t.Fatal(err)
	}
	return s.Handler()
}

func page(t *testing.T, h http.Handler, path string) (status int, body string) {
	t.Helper()
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w.Code, w.Body.String()
}

var (
	anyID    = regexp.MustCompile(`\bid="([^"]+)"`)
	anyFor   = regexp.MustCompile(`\bfor="([^"]+)"`)
	anyTag   = regexp.MustCompile(`<(/?)(section|div|dl|ul|form|table|select|details|p|label|span)\b`)
	anyStyle = regexp.MustCompile(`(?i)\sstyle=|\son[a-z]+=|<script|javascript:`)
)

// sound checks what a browser would mend silently: ids that occur twice, labels of nothing, tags that do not close.
func sound(t *testing.T, name, body string) {
	t.Helper()
	ids := map[string]bool{}
	for _, m := range anyID.FindAllStringSubmatch(body, -1) {
		if ids[m[1]] {
			t.Errorf("%s: the id %s occurs twice", name, m[1])
		}
		ids[m[1]] = true
	}
	for _, m := range anyFor.FindAllStringSubmatch(body, -1) {
		if !ids[m[1]] {
			t.Errorf("%s: a label names %s, which is not there", name, m[1])
		}
	}
	open := map[string]int{}
	for _, m := range anyTag.FindAllStringSubmatch(body, -1) {
		if m[1] == "" {
			open[m[2]]++
		} else {
			open[m[2]]--
		}
	}
	for tag, n := range open {
		if n != 0 {
			t.Errorf("%s: %d <%s> do not close", name, n, tag)
		}
	}
	if bad := anyStyle.FindString(body); bad != "" {
		t.Errorf("%s: the policy of the pages forbids %q", name, bad)
	}
}

// Every calculator is on the list and has a page: empty, and with its example answered as the calculator itself answers.
func TestEveryCalculatorIsAPage(t *testing.T) {
	h := calculators(t)
	_, list := page(t, h, "/reckon")
	sound(t, "the list", list)
	for _, c := range reckon.All() {
		if !strings.Contains(list, `href="/reckon/`+c.Name+`"`) {
			t.Errorf("%s is not on the list", c.Name)
		}
		status, empty := page(t, h, "/reckon/"+c.Name)
		sound(t, c.Name+", empty", empty)
		if status != http.StatusOK || strings.Contains(empty, "aria-invalid") {
			t.Errorf("%s, empty: status %d", c.Name, status)
		}
		query := url.Values{}
		for name, text := range c.Example {
			query.Set(name, text)
			if !strings.Contains(empty, `name="`+name+`"`) {
				t.Errorf("%s: the form does not ask for %s", c.Name, name)
			}
		}
		status, answered := page(t, h, "/reckon/"+c.Name+"?"+query.Encode())
		sound(t, c.Name+", answered", answered)
		text := html.UnescapeString(answered)
		want, err := reckon.Run(c.Name, c.Example)
		if err != nil || status != http.StatusOK {
			t.Errorf("%s: status %d, %v", c.Name, status, err)
		}
		var pieces []string
		for _, r := range want.Results {
			pieces = append(pieces, r.Amount(), r.Says)
		}
		for _, piece := range append(append(append(pieces, want.Steps...), want.Source...), want.Cautions...) {
			if !strings.Contains(text, piece) {
				t.Errorf("%s: the page lacks %q", c.Name, piece)
			}
		}
	}
}

// A slip stands beside its field, in words, with what was typed still there; nothing typed becomes part of the page.
func TestASlipInACalculatorStandsBesideItsField(t *testing.T) {
	h := calculators(t)
	status, body := page(t, h, "/reckon/evaporation?latitude=52&date=2026-07-01&min=12&max=5")
	sound(t, "a slip", body)
	if status != http.StatusUnprocessableEntity || !strings.Contains(body, "<title>Error: Evaporation") ||
		!strings.Contains(body, `<a href="#f-max">Max: The maximum of 5 °C lies below the minimum of 12 °C. Have they been swapped?</a>`) ||
		!strings.Contains(body, `name="max" value="5" aria-invalid="true"`) || !strings.Contains(body, `name="min" value="12"`) {
		t.Errorf("status %d: %s", status, body)
	}
	status, body = page(t, h, "/reckon/water-need?crop="+url.QueryEscape(`"><b>potato</b>`)+"&evaporation=4")
	if status != http.StatusUnprocessableEntity || strings.Contains(body, "<b>potato") || !strings.Contains(html.UnescapeString(body), `<b>potato</b>`) {
		t.Errorf("status %d: %s", status, body)
	}
	if status, _ = page(t, h, "/reckon/horoscope"); status != http.StatusNotFound {
		t.Errorf("a calculator that is not there: status %d", status)
	}
}
