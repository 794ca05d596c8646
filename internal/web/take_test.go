package web_test

import (
	"bytes"
	"context"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"

	"fairplot/internal/garden"
)

func weighed(id garden.ID, crop, kg string) string {
	return entry(id, "harvest", "add", "", "bed", "don't know", "crop", crop, "mass", kg, "weighing", "weighed", "date", "2026-07-14")
}

func TestAnEntryIsKeptOnce(t *testing.T) {
	s := newSite(t, kitchen("parsnip", "leek"))
	id := newID()
	one := entry(id, "harvest", "add", "", "bed", "kitchen/1", "mass", "0.84 kg", "date", "2026-07-14")
	s.wantIs(s.take(one), "new")
	s.wantIs(s.take(one), "had")
	s.wantIs(s.take(one, one), "had", "had")
	s.wantIs(s.take(strings.Replace(one, "0.84", "0.85", 1)), "refused")
	other := weighed(newID(), "leek", "2 kg")
	s.wantIs(s.take(other, other), "new", "had")
	r := s.read()
	if len(r.Harvests) != 2 || r.Harvests[0].Net().Value != 0.84 && r.Harvests[1].Net().Value != 0.84 {
		t.Errorf("the book has %+v", r.Harvests)
	}
}

func TestWhatIsTypedOnTwoPhonesAtOnceIsAllKept(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	var all []string
	for range 40 {
		all = append(all, weighed(newID(), "parsnip", "1 kg"))
	}
	var busy sync.WaitGroup
	for range 4 {
		busy.Go(func() {
			for i := 0; i < len(all); i += 10 {
				_, err := s.web.Take(context.Background(), all[i:i+10], garden.DeviceID{})
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	busy.Wait()
	if n := len(s.read().Harvests); n != len(all) {
		t.Errorf("the book has %d harvests, want %d", n, len(all))
	}
}

func TestTakingBack(t *testing.T) {
	s := newSite(t, garden.Records{})
	first, back := newID(), newID()
	void := entry(back, "harvest", "remove", first.String())
	s.wantIs(s.take(void), "later") // another phone's entry has not come yet
	s.wantIs(s.take(entry(first, "harvest", "add", "", "bed", "+kitchen/1", "crop", "carrot", "mass", "2 kg", "date", "2026-07-14"), void), "new", "new")
	s.wantIs(s.take(void), "had")
	s.wantIs(s.take(entry(newID(), "harvest", "remove", first.String())), "had") // the second taking back changes nothing
	if r := s.read(); len(r.Harvests)+len(r.Plantings)+len(r.Beds)+len(r.Gardens) != 0 {
		t.Errorf("a first weighing taken back leaves %+v", r)
	}
}

func TestTakingBackLeavesWhatIsUsedMeanwhile(t *testing.T) {
	s := newSite(t, garden.Records{})
	first := newID()
	s.take(entry(first, "harvest", "add", "", "bed", "+kitchen/1", "crop", "carrot", "mass", "2 kg", "date", "2026-07-14"))
	s.take(entry(newID(), "harvest", "add", "", "bed", "kitchen/1", "crop", "carrot", "mass", "3 kg", "date", "2026-07-14"))
	s.wantIs(s.take(entry(newID(), "harvest", "remove", first.String())), "new")
	r := s.read()
	if len(r.Harvests) != 1 || r.Harvests[0].Net().Value != 3 || len(r.Beds) != 1 {
		t.Errorf("the book has %+v in %+v", r.Harvests, r.Beds)
	}
}

func TestOneSowingInManyBedsIsTakenBackWhole(t *testing.T) {
	s := newSite(t, kitchen("parsnip", "leek", "carrot"))
	id := newID()
	s.wantIs(s.take(entry(id, "planting", "add", "", "bed", "kitchen/1-3", "crop", "chard", "start", "sown", "date", "2026-07-14")), "new")
	if n := len(s.read().Plantings); n != 6 {
		t.Fatalf("%d plantings, want 6", n)
	}
	s.wantIs(s.take(entry(newID(), "planting", "remove", id.String())), "new")
	if n := len(s.read().Plantings); n != 3 {
		t.Errorf("%d plantings, want 3", n)
	}
}

func TestAFactFromTheGardenIsNotRefusedForThePlan(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	s.wantIs(s.take(entry(newID(), "harvest", "add", "", "bed", newID().String(), "crop", "parsnip", "mass", "2 kg", "date", "2026-07-14")), "new")
	h := s.read().Harvests
	if len(h) != 1 || h[0].Net().Value != 2 || !strings.Contains(h[0].Note, "not there") {
		t.Errorf("the book has %+v", h)
	}
}

func TestOneBadEntryDoesNotHoldUpTheOthers(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	got := s.take(weighed(newID(), "parsnip", "1 kg"), weighed(newID(), "parsnip", "1,2,3 kg"), "{", entry(newID(), "setting", "add", "", "name", "units", "value", "us"), weighed(newID(), "parsnip", "2 kg"))
	s.wantIs(got, "new", "refused", "refused", "refused", "new")
	if got[1].Why == "" {
		t.Error("a refusal without its reason")
	}
	if r := s.read(); len(r.Harvests) != 2 || len(r.Settings) != 0 {
		t.Errorf("the book has %+v", r)
	}
}

func TestTheCommandLineWritesMeanwhile(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	s.take(weighed(newID(), "parsnip", "1 kg"))
	g := s.read().Gardens[0]
	bed := garden.Bed{ID: garden.BedID(newID()), Garden: g.ID, Name: "9"}
	_, err := s.book.CopyIn(context.Background(), []garden.Operation{adding(t, bed)}, nil)
	must(t, err)
	s.wantIs(s.take(entry(newID(), "harvest", "add", "", "bed", "kitchen/9", "crop", "kale", "mass", "1 kg", "date", "2026-07-14")), "new")
	if page := s.get("/note/harvest").Body.String(); !strings.Contains(page, "kitchen/9") {
		t.Error("the walk does not know the bed that another program made")
	}
}

func TestTheDoorForEntries(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	for _, c := range []struct {
		name, kind, body string
		want             int
	}{
		{"as a phone sends it", "application/json", `{"entries":[]}`, 200},
		{"as a form", "text/plain", `{"entries":[]}`, 415},
		{"not JSON", "application/json", `<html>`, 400},
		{"too many", "application/json", `{"entries":[` + strings.TrimSuffix(strings.Repeat(`"",`, 201), ",") + `]}`, 413},
	} {
		r := httptest.NewRequest("POST", "/api/entries", strings.NewReader(c.body))
		r.Header.Set("Content-Type", c.kind)
		w := httptest.NewRecorder()
		s.http.ServeHTTP(w, r)
		if w.Code != c.want {
			t.Errorf("%s: %d, want %d", c.name, w.Code, c.want)
		}
	}
}

func TestAFileOfEntriesComesInOnce(t *testing.T) {
	s := newSite(t, kitchen("parsnip"))
	one, two := weighed(newID(), "parsnip", "1 kg"), weighed(newID(), "parsnip", "2 kg")
	s.take(one)
	got, err := s.web.TakeFile(context.Background(), bytes.NewReader([]byte(one+"\n\n"+two+"\n")), garden.DeviceID{})
	must(t, err)
	s.wantIs(got, "had", "new")
	s.wantIs(s.take(one, two), "had", "had")
	if w := s.post("/bring-in", url.Values{"entries": {one}}); !strings.Contains(w.Body.String(), "were here before") || w.Code != 200 {
		t.Errorf("the page says %d %s", w.Code, w.Body)
	}
}
