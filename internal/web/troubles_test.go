package web_test

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/web"
)

// The bad input that a garden's phones can be expected to send.

func TestAClockWrongByAYear(t *testing.T) {
	for _, year := range []string{"2025", "2027"} {
		s := newSite(t, kitchen("parsnip"))
		got := s.take(strings.ReplaceAll(entry(newID(), "work", "add", "", "time", "20 min", "task", "hoeing", "date", "2026-07-14"), "2026-07-14", year+"-07-14"))
		s.wantIs(got, "new")
		if ahead := year == "2027"; ahead != strings.Contains(got[0].Why, "14 July 2027, which lies in the future") {
			t.Errorf("%s: the receipt says %q", year, got[0].Why)
		}
		work := s.read().Works
		if len(work) != 1 || work[0].Date.String() != year+"-07-14" {
			t.Errorf("%s: the book has %+v", year, work)
		}
		if body := s.get("/").Body.String(); !strings.Contains(body, "was noted on 14 July "+year+" by the clock of its phone. Was that clock right?") {
			t.Errorf("%s: the first page does not ask", year)
		}
		if body := s.get("/diary").Body.String(); !strings.Contains(body, "14 July "+year) || !strings.Contains(body, "hoeing") {
			t.Errorf("%s: the diary does not show it", year)
		}
	}
	s := newSite(t, kitchen("parsnip"))
	s.take(weighed(newID(), "parsnip", "1 kg"), strings.ReplaceAll(weighed(newID(), "parsnip", "2 kg"), "2026-07-14", "2026-06-20")) // three weeks in a drawer
	if body := s.get("/").Body.String(); strings.Contains(body, "clock") {
		t.Error("what was held for three weeks is taken for a wrong clock")
	}
}

func TestTwoPhonesChangeOneEntry(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	p := s.read().Plantings[0].ID.String()
	s.wantIs(s.take(entry(newID(), "planting", "stand", p, "plants", "30", "date", "2026-07-13"), entry(newID(), "planting", "stand", p, "plants", "28", "date", "2026-07-14")), "new", "new")
	const asks = "12 July 2026 and by the other on 14 July 2026. Which is right?"
	s.take(entry(newID(), "planting", "end", p, "date", "2026-07-12", "weighed", "all"))
	second := newID()
	got, err := s.web.Take(context.Background(), []string{entry(second, "planting", "end", p, "date", "2026-07-14", "weighed", "don't know")}, garden.DeviceID(newID()))
	must(t, err)
	s.wantIs(got, "new")
	if got := s.read().Plantings[0]; got.Ended.String() != "2026-07-14" || got.Weighed != garden.DontKnow {
		t.Errorf("the crop ended as %+v", got)
	}
	if body := s.get("/").Body.String(); !strings.Contains(body, asks) {
		t.Error("the first page does not say that two phones differ")
	}
	if w := s.post("/diary/"+second.String()+"/take-back", nil); w.Code != 303 {
		t.Fatalf("taking the second back: %d %s", w.Code, w.Body)
	}
	if got := s.read().Plantings[0]; got.Ended.String() != "2026-07-12" || got.Weighed != garden.AllWeighed {
		t.Errorf("what the first phone said is not there again: %+v", got)
	}
	if body := s.get("/").Body.String(); strings.Contains(body, asks) {
		t.Error("it is asked after one was taken back")
	}
}

// sendNote sends a form with a picture as a browser without the script does, through the guard.
func (s *site) sendNote(id garden.ID, picture []byte) *httptest.ResponseRecorder {
	s.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for _, f := range [][2]string{{"id", id.String()}, {"text", "slugs in the frame"}, {"date", "today"}} {
		must(s.t, form.WriteField(f[0], f[1]))
	}
	part, err := form.CreateFormFile("picture", "frame.jpg")
	must(s.t, err)
	_, err = part.Write(picture)
	must(s.t, err)
	must(s.t, form.Close())
	r := atDesk(httptest.NewRequest("POST", "/note/note", &body))
	r.Header.Set("Content-Type", form.FormDataContentType())
	w := httptest.NewRecorder()
	guard := &web.Guard{Hosts: func() []string { return []string{"localhost:8417"} }}
	guard.Wrap(s.http).ServeHTTP(w, r)
	return w
}

func TestAPictureTooLargeDoesNotCostTheNote(t *testing.T) {
	for _, size := range []int{13 << 20, 50 << 20, 70 << 20} { // more than a picture may have, the usual worst, more than is read of a form
		s := newSite(t, kitchen("parsnip"))
		id := newID()
		for range 2 {
			w := s.sendNote(id, make([]byte, size))
			if body := w.Body.String(); w.Code != 422 || !strings.Contains(body, "the note is saved, but its picture is too large") {
				t.Errorf("%d MB: %d", size>>20, w.Code)
			}
		}
		if n := s.read().Notes; len(n) != 1 || n[0].Text != "slugs in the frame" || n[0].Date != civil.Of(2026, 7, 14) {
			t.Errorf("%d MB: the book has %+v", size>>20, n)
		}
	}
}

func TestAFormSentTwice(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	var picture bytes.Buffer
	must(t, jpeg.Encode(&picture, image.NewGray(image.Rect(0, 0, 40, 30)), nil))
	note, harvest := newID(), newID()
	for range 2 {
		if w := s.sendNote(note, picture.Bytes()); w.Code != 303 {
			t.Errorf("a note with a picture: %d %s", w.Code, w.Body)
		}
		if w := s.post("/note/harvest", url.Values{"id": {harvest.String()}, "bed": {"don't know"}, "crop.other": {"chard"}, "mass": {"2"}, "unit.mass": {"kg"}}); w.Code != 303 {
			t.Errorf("a harvest: %d %s", w.Code, w.Body)
		}
	}
	r := s.read()
	if len(r.Notes) != 1 || len(r.Pictures) != 1 || len(r.Notes[0].Pictures) != 1 || len(r.Harvests) != 1 {
		t.Errorf("sent twice: %d notes, %d pictures, %d harvests, want one of each", len(r.Notes), len(r.Pictures), len(r.Harvests))
	}
	at := "/sort-out/" + r.Harvests[0].ID.String()
	for range 2 {
		if w := s.post(at, url.Values{"planting": {r.Plantings[0].ID.String()}}); w.Code >= 500 {
			t.Errorf("placed twice: %d", w.Code)
		}
	}
	if h := s.read().Harvests; len(h) != 1 || h[0].Planting != r.Plantings[0].ID {
		t.Errorf("placed twice: %+v", h)
	}
}

// Text with markup, letters that run from right to left, and in what is free text a mark that turns all after it round; names may have no such mark.
const (
	hebrew  = "\u05d2\u05d6\u05e8"
	hostile = `<img src=x onerror=alert(1)>` + hebrew + `"'&`
	turning = hostile + "\u202e"
)

func TestMarkupAndMarksOfDirectionOnEveryPage(t *testing.T) {
	r := kitchen("parsnip", "leek")
	for i := range r.Plantings {
		r.Plantings[i].Crop += hostile
	}
	r.Gardens[0].Name += hostile
	s := newSite(t, r)
	s.take(entry(newID(), "note", "add", "", "text", "a "+turning, "date", "2026-07-14"))
	h := newID()
	s.wantIs(s.take(entry(h, "harvest", "add", "", "bed", "don't know", "crop", "kale "+hostile, "mass", "900 kg", "note", turning, "date", "2026-07-14")), "new")
	s.take(entry(newID(), "harvest", "add", "", "bed", r.Beds[0].ID.String(), "mass", "2 kg", "date", "2026-06-01"))
	s.post("/sheets", url.Values{})
	paths := append([]string{"/sheets/0001", "/sheets/0001/type", "/planting/" + r.Plantings[0].ID.String(), "/sort-out/" + s.read().Harvests[0].ID.String(), "/sort-out/" + s.read().Harvests[1].ID.String(), "/ask/compare?subject=" + url.QueryEscape(hostile)}, drawnPages...)
	seen := 0
	for _, path := range paths {
		body := s.get(path).Body.String()
		root, err := html.Parse(strings.NewReader(body))
		must(t, err)
		var look func(n *html.Node)
		look = func(n *html.Node) {
			if n.Type == html.ElementNode && n.Data == "img" && attributes(n)["src"] == "x" {
				t.Errorf("%s: text came out as markup", path)
			}
			if n.Type == html.TextNode && strings.Contains(n.Data, hebrew) {
				seen++
				if where := mixed(n); where != "" {
					t.Errorf("%s: text of others stands in a sentence without <bdi>, in <%s>", path, where)
				}
			}
			for c := n.FirstChild; c != nil; c = c.NextSibling {
				look(c)
			}
		}
		look(root)
	}
	if seen < 20 {
		t.Errorf("the text was seen %d times only", seen)
	}
}

// alone are the elements that a browser isolates by itself, or shows apart from all else.
var alone = map[string]bool{"bdi": true, "p": true, "li": true, "td": true, "th": true, "h1": true, "h2": true, "div": true, "dd": true, "dt": true, "option": true, "title": true, "textarea": true,
	"script": true, "caption": true, "figcaption": true, "legend": true, "summary": true, "label": true, "text": true, "desc": true, "output": true, "button": true}

// mixed names the element in which a text stands beside other text with nothing that isolates it.
func mixed(n *html.Node) string {
	for ; n.Parent != nil; n = n.Parent {
		if alone[n.Data] && n.Type == html.ElementNode {
			return ""
		}
		for _, beside := range []*html.Node{n.PrevSibling, n.NextSibling} {
			if beside != nil && (beside.Type == html.ElementNode && beside.Data != "br" || strings.TrimSpace(beside.Data) != "") {
				return fmt.Sprint(n.Parent.Data)
			}
		}
	}
	return ""
}

func TestMovingToHTTPSSaysToSendFirst(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	if body := s.get("/kept").Body.String(); !strings.Contains(body, "before this phone is moved to another, to https for instance, send it") {
		t.Error("the page of what is kept does not say that it stays under its address")
	}
	w := httptest.NewRecorder()
	s.web.Secured().Handler().ServeHTTP(w, atDesk(httptest.NewRequest("GET", "/join", nil)))
	if body := w.Body.String(); !strings.Contains(body, "open that address first and send it") {
		t.Error("joining over https does not say what is left behind under http")
	}
	if body := s.get("/join").Body.String(); strings.Contains(body, "open that address first") {
		t.Error("joining over http speaks of leaving it")
	}
}
