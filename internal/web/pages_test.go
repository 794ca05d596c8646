package web_test

import (
	"fmt"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"

	"golang.org/x/net/html"
)

// drawnPages are the addresses of the pages.
var drawnPages = []string{
	"/", "/diary", "/ground", "/ground?by=cultivation&season=2024", "/ground?by=yield", "/seasons", "/seasons?season=2023", "/ask", "/sort-out", "/sheets", "/bring-in", "/settings", "/phones",
	"/note", "/kept", "/note/harvest", "/note/round", "/note/sow", "/note/thin", "/note/gaps", "/note/standing", "/note/finished", "/note/dig", "/note/compost", "/note/water", "/note/work", "/note/measure",
	"/note/cover", "/note/loss", "/note/note", "/join", "/nowhere", "/ground?season=x", "/planting/x", "/sheets/9999", "/ask/compare?subject=nonsense",
}

// TestEveryPageIsSoundHTML checks what a parser lets pass: ids, labels, one head, nothing that the content policy would block.
func TestEveryPageIsSoundHTML(t *testing.T) {
	for name, r := range map[string]garden.Records{"demo": demoRecords(), "empty": {}} {
		s := newSite(t, r)
		for _, path := range drawnPages {
			w := s.get(path)
			if w.Code >= 500 {
				t.Errorf("%s %s: %d", name, path, w.Code)
			}
			for _, fault := range faultsOf(t, w.Body.String()) {
				t.Errorf("%s %s: %s", name, path, fault)
			}
		}
	}
}

// soundness is what the checks need to know of a whole page.
type soundness struct {
	ids, labelled map[string]int
	refers        map[string]string // id to who refers to it
	heads         int
	title, lang   string
	faults        []string
}

func faultsOf(t *testing.T, text string) []string {
	t.Helper()
	root, err := html.Parse(strings.NewReader(text))
	must(t, err)
	p := &soundness{ids: map[string]int{}, labelled: map[string]int{}, refers: map[string]string{}}
	p.look(root, false)
	for id, n := range p.ids {
		if n > 1 {
			p.add("the id %s is there %d times", id, n)
		}
	}
	for id, who := range p.refers {
		if p.ids[id] == 0 {
			p.add("%s refers to %s, which is not there", who, id)
		}
	}
	p.inputs(root, false)
	if p.heads != 1 || p.title == "" || p.lang != "en" {
		p.add("%d h1, title %q, language %q", p.heads, p.title, p.lang)
	}
	return p.faults
}

func (p *soundness) add(format string, args ...any) {
	p.faults = append(p.faults, fmt.Sprintf(format, args...))
}

// look collects ids and labels and finds what is forbidden.
func (p *soundness) look(n *html.Node, script bool) {
	if n.Type == html.ElementNode {
		at := attributes(n)
		if id, ok := at["id"]; ok {
			p.ids[id]++
		}
		for name := range at {
			if name == "style" || strings.HasPrefix(name, "on") {
				p.add("<%s> has the attribute %s", n.Data, name)
			}
		}
		switch n.Data {
		case "h1":
			p.heads++
		case "html":
			p.lang = at["lang"]
		case "title":
			if n.Parent.Data == "head" {
				p.title = n.FirstChild.Data
			}
		case "label":
			p.labelled[at["for"]]++
			p.refers[at["for"]] = "a label"
		case "img":
			if _, ok := at["alt"]; !ok {
				p.add("an image without alt")
			}
		case "script":
			if at["src"] == "" && at["type"] != "application/json" {
				p.add("a script in the page")
			}
		}
		for _, name := range []string{"aria-labelledby", "aria-describedby"} {
			for _, id := range strings.Fields(at[name]) {
				p.refers[id] = name
			}
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		p.look(c, script)
	}
}

// inputs finds fields that have no name for a screen reader.
func (p *soundness) inputs(n *html.Node, inLabel bool) {
	if n.Type == html.ElementNode {
		at := attributes(n)
		inLabel = inLabel || n.Data == "label"
		field := n.Data == "select" || n.Data == "textarea" || n.Data == "input" && at["type"] != "hidden"
		if field && !inLabel && p.labelled[at["id"]] == 0 && at["aria-label"] == "" && at["aria-labelledby"] == "" {
			p.add("<%s name=%s> has no label", n.Data, at["name"])
		}
	}
	for c := n.FirstChild; c != nil; c = c.NextSibling {
		p.inputs(c, inLabel)
	}
}

func attributes(n *html.Node) map[string]string {
	out := map[string]string{}
	for _, a := range n.Attr {
		out[a.Key] = a.Val
	}
	return out
}

func TestAPageKeptIsDrawnAnewWhenTheBookChanges(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	if body := s.get("/ground").Body.String(); strings.Contains(body, "rhubarb") {
		t.Fatal("rhubarb before it was sown")
	}
	s.take(entry(newID(), "planting", "add", "", "bed", "kitchen/1", "crop", "rhubarb", "start", "set out", "date", "2026-07-01"))
	if body := s.get("/ground").Body.String(); !strings.Contains(body, "rhubarb") {
		t.Error("the plan does not show what was just noted")
	}
}

func TestAHarvestIsSortedOut(t *testing.T) {
	s := newSite(t, kitchen("parsnip", "parsnip"))
	s.take(weighed(newID(), "parsnip", "3 kg"))
	h := s.read().Harvests[0]
	if h.Placed() {
		t.Fatal("a weight from one of two beds was placed by itself")
	}
	at := "/sort-out/" + h.ID.String()
	if body := s.get(at).Body.String(); !strings.Contains(body, "kitchen/2 parsnip 2026-04-03") {
		t.Error("the page does not offer what stood then")
	}
	if w := s.post(at, url.Values{}); w.Code != 422 {
		t.Errorf("no answer: %d, want 422", w.Code)
	}
	var second garden.PlantingID
	for _, p := range s.read().Plantings {
		second = p.ID
	}
	if w := s.post(at, url.Values{"planting": {second.String()}}); w.Code != 303 {
		t.Errorf("placing: %d %s", w.Code, w.Body)
	}
	if h := s.read().Harvests[0]; h.Planting != second {
		t.Errorf("it is of %v, want %v", h.Planting, second)
	}
}

func TestAnEndAsksHowMuchWasWeighed(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	p := s.read().Plantings[0]
	w := s.post("/planting/"+p.ID.String()+"/end", url.Values{"date": {"2026-07-10"}, "unit.weighed": {"missed"}, "weighed.other": {"3"}})
	if w.Code != 303 {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	if p = s.read().Plantings[0]; p.Weighed != garden.SomeMissed || p.Missed.Value != 3 || p.Ended.String() != "2026-07-10" {
		t.Errorf("the crop ended as %+v", p)
	}
}

func TestSettingsAreKept(t *testing.T) {
	s := newSite(t, garden.Records{})
	for _, matters := range []string{"25 %", "30 %"} {
		if w := s.post("/settings", url.Values{"units": {"us"}, "matters": {matters}}); w.Code != 303 {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	if w := s.post("/settings", url.Values{"matters": {"very much"}}); w.Code != 422 || !strings.Contains(w.Body.String(), "very much") {
		t.Errorf("a setting that cannot be read: %d", w.Code)
	}
	got := map[string]string{}
	for _, v := range s.read().Settings {
		got[v.Name] = v.Value
	}
	if len(got) != 2 || got["units"] != "us" || got["matters"] != "30 %" {
		t.Errorf("the settings are %v", got)
	}
}

func TestTheWalkGoesAsTheGrowerSays(t *testing.T) {
	r := kitchen("parsnip", "leek", "carrot")
	orchard := garden.Garden{ID: garden.GardenID(newID()), Name: "orchard"}
	r.Put(orchard)
	bed := garden.Bed{ID: garden.BedID(newID()), Garden: orchard.ID, Name: "a"}
	r.Put(bed)
	r.Put(garden.Planting{ID: garden.PlantingID(newID()), Bed: bed.ID, Crop: "chard"})
	s := newSite(t, r)
	walk := func() string {
		var out []string
		for _, m := range regexp.MustCompile(`<option value="[^"]{36}">([^<]+)</option>`).FindAllStringSubmatch(s.get("/note/harvest").Body.String(), -1) {
			out = append(out, m[1])
		}
		return strings.Join(out, " ")
	}
	for _, c := range []struct{ said, want string }{
		{"", "kitchen/1 kitchen/2 kitchen/3 orchard/a"},
		{"kitchen/3, Orchard", "kitchen/3 orchard/a kitchen/1 kitchen/2"},
		{"orchard,kitchen,kitchen/1", "orchard/a kitchen/2 kitchen/3 kitchen/1"}, // a bed's own place goes before its garden's
		{"", "kitchen/1 kitchen/2 kitchen/3 orchard/a"},
		{"orchard", "orchard/a kitchen/1 kitchen/2 kitchen/3"},
	} {
		if w := s.post("/settings", url.Values{"walk": {c.said}}); w.Code != 303 {
			t.Fatalf("%q: %d %s", c.said, w.Code, w.Body)
		}
		if got := walk(); got != c.want {
			t.Errorf("%q: the walk goes %s, want %s", c.said, got, c.want)
		}
	}
	if w := s.post("/settings", url.Values{"walk": {"kitchen/1, kitchen/7"}}); w.Code != 422 || !strings.Contains(w.Body.String(), "kitchen/7") {
		t.Errorf("a bed that is not there: %d", w.Code)
	}
	s.post("/sheets", url.Values{})
	if body := s.get("/sheets/0001").Body.String(); strings.Index(body, "chard") > strings.Index(body, "parsnip") {
		t.Error("the sheet does not go in walking order")
	}
}

func TestAMissedFortnightIsClosedWithOneAnswer(t *testing.T) {
	s := newSite(t, kitchen("parsnip", "leek"))
	for _, bed := range []string{"kitchen/1", "kitchen/2"} {
		s.take(entry(newID(), "harvest", "add", "", "bed", bed, "mass", "1 kg", "date", "2026-06-20"))
	}
	body := s.get("/").Body.String()
	m := regexp.MustCompile(`name="from" value="([^"]+)"><input type="hidden" name="to" value="([^"]+)"`).FindStringSubmatch(body)
	if m == nil || m[1] != "2026-06-21" || m[2] != "2026-07-14" {
		t.Fatalf("the gap is not asked about: %v", m)
	}
	if w := s.post("/missing", url.Values{"from": {m[1]}, "to": {m[2]}, "said": {"some"}}); w.Code != 303 {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	for _, p := range s.read().Plantings {
		if p.Weighed != garden.SomeMissed {
			t.Errorf("%s: %q, want some missed", p.Crop, p.Weighed)
		}
	}
	if strings.Contains(s.get("/").Body.String(), `name="from"`) {
		t.Error("it is asked again")
	}
}

func TestASheetIsTypedInOnce(t *testing.T) {
	s := newSite(t, kitchen("parsnip", "leek"))
	if w := s.post("/sheets", url.Values{}); w.Header().Get("Location") != "/sheets/0001" {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	s.take(entry(newID(), "planting", "add", "", "bed", "kitchen/1", "crop", "chard", "date", "2026-07-14")) // sown after the sheet was printed
	at := "/sheets/0001/type"
	if body := s.get("/sheets/0001").Body.String(); !strings.Contains(body, "kitchen/2") || strings.Contains(body, "chard") {
		t.Error("the sheet does not show the rows it was printed with")
	}
	good := url.Values{"date": {"2026-07-12"}, "tare": {"0,4"}, "kg1-1": {"2,400"}, "kg1-2": {"1.400"}, "kg2-1": {"0"}, "bed3": {"kitchen/1"}, "crop3": {"chard"}, "kg3-1": {"0.9"}, "sum": {"4.700"}}
	for _, c := range []struct{ field, value, says string }{
		{"kg1-1", "1,2,3", "more than one mark"},
		{"kg1-1", "abc", "is no number"},
		{"kg1-1", "-1", "is no number"},
		{"kg1-1", "1e3", "is no number"},
		{"kg1-1", "0.3", "less than the empty crate"},
		{"sum", "5.700", "1.000 apart"},
		{"crop3", "", "say which crop"},
	} {
		bad := url.Values{}
		for k, v := range good {
			bad[k] = v
		}
		bad.Set(c.field, c.value)
		w := s.post(at, bad)
		if body := w.Body.String(); w.Code != 422 || !strings.Contains(body, c.says) || !strings.Contains(body, "<title>Error: ") || !strings.Contains(body, `value="1.400"`) {
			t.Errorf("%s %q: %d, want 422 with %q and what was typed", c.field, c.value, w.Code, c.says)
		}
	}
	if n := len(s.read().Harvests); n != 0 {
		t.Fatalf("a sheet with faults left %d harvests", n)
	}
	for range 2 {
		if w := s.post(at, good); w.Code != 303 {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	sum := 0.0
	for _, h := range s.read().Harvests {
		sum += float64(h.Net().Value)
		if !h.Placed() || h.Date.String() != "2026-07-12" || h.Round != "sheet 0001" {
			t.Errorf("the sheet kept %+v", h)
		}
	}
	if n := len(s.read().Harvests); n != 4 || sum < 3.499 || sum > 3.501 { // 2.4 + 1.4 + 0.9, less three crates
		t.Errorf("%d harvests of %.3f kg, want 4 of 3.500", n, sum)
	}
	again := url.Values{}
	for k, v := range good {
		again[k] = v
	}
	again.Set("kg1-1", "2.5")
	again.Set("sum", "4.8")
	if w := s.post(at, again); w.Code != 422 || !strings.Contains(w.Body.String(), "was typed in before") {
		t.Errorf("another figure for a row typed in before: %d", w.Code)
	}
}

func TestTextIsShownAsText(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	s.wantIs(s.take(entry(newID(), "note", "add", "", "text", "<script>alert(1)</script> \u202e", "date", "2026-07-14")), "new")
	if body := s.get("/diary").Body.String(); strings.Contains(body, "<script>alert") || !strings.Contains(body, "&lt;script&gt;") {
		t.Error("a note's text came out as markup")
	}
}

// TestAYearBeginsWithItsFirstSowing: garlic stands over the winter into 2026, in which nothing was sown or picked yet.
func TestAYearBeginsWithItsFirstSowing(t *testing.T) {
	r := demoRecords()
	r.Put(garden.Planting{ID: garden.PlantingID(newID()), Bed: r.Beds[0].ID, Crop: "garlic", Start: garden.SetOut, Date: civil.When{Date: civil.Of(2025, time.October, 15)}, Ended: civil.Of(2026, time.July, 1)})
	s := newSite(t, r)
	for path, want := range map[string]string{"/ground": "What stood where in 2025", "/seasons": "picked in 2025", "/ground?season=2026": "What stood where in 2026"} {
		if body := s.get(path).Body.String(); !strings.Contains(body, want) || !strings.Contains(body, "season=2026") && !strings.Contains(path, "2026") {
			t.Errorf("%s does not say %q, or has no way to 2026", path, want)
		}
	}
}
