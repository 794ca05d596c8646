package web_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/civil"
	"fairplot/internal/demo"
	"fairplot/internal/garden"
	"fairplot/internal/web"

	"github.com/google/uuid"
)

// onDisk is a real book as the pages reach it.
type onDisk struct{ *book.Book }

func (b onDisk) Keep(ctx context.Context, ops []garden.Operation) ([]garden.Receipt, error) {
	return b.CopyIn(ctx, ops, nil)
}

func (b onDisk) Past(ctx context.Context, before garden.ID, n int) ([]garden.Past, error) {
	return b.History(ctx, book.Look{Before: before, Limit: n})
}

func newID() garden.ID { return garden.ID(uuid.Must(uuid.NewV7())) }

// noon is when the tests take place.
var noon = time.Date(2026, 7, 14, 12, 0, 0, 0, time.UTC)

// site is a server on a book of its own.
type site struct {
	t    testing.TB
	book *book.Book
	web  *web.Server
	http http.Handler
}

func newSite(t testing.TB, r garden.Records) *site {
	t.Helper()
	b, err := book.Create(context.Background(), filepath.Join(t.TempDir(), "garden.fairplot"), book.Options{})
	must(t, err)
	t.Cleanup(func() { must(t, b.Close()) })
	var ops []garden.Operation
	for _, k := range garden.Kinds() {
		for _, rec := range r.List(k) {
			ops = append(ops, adding(t, rec))
		}
	}
	_, err = b.CopyIn(context.Background(), ops, nil)
	must(t, err)
	return (&site{t: t, book: b}).again()
}

// again is another server on the same book.
func (s *site) again() *site {
	s.t.Helper()
	w, err := web.New(web.Config{Book: onDisk{s.book}, Name: "garden", Now: func() time.Time { return noon }, NewID: newID, Build: "test"})
	must(s.t, err)
	return &site{t: s.t, book: s.book, web: w, http: w.Handler()}
}

// tempDir is a folder for the whole run.
var tempDir string

func TestMain(m *testing.M) {
	var err error
	if tempDir, err = os.MkdirTemp("", "fairplot-web"); err != nil {
		panic(err)
	}
	code := m.Run()
	if err := os.RemoveAll(tempDir); err != nil {
		panic(err)
	}
	os.Exit(code)
}

func adding(t testing.TB, rec garden.Record) garden.Operation {
	t.Helper()
	body, err := garden.Encode(rec)
	must(t, err)
	return garden.Operation{ID: newID(), Action: garden.Add, Kind: rec.Kind(), Record: rec.Identity(), Body: body, Made: noon}
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// demoRecords is the invented book.
func demoRecords() garden.Records { return demo.Make(11, demo.Book(), demo.Usual()) }

// kitchen is a garden with a bed for each of the crops.
func kitchen(crops ...string) garden.Records {
	var r garden.Records
	g := garden.Garden{ID: garden.GardenID(newID()), Name: "kitchen"}
	r.Put(g)
	for i, c := range crops {
		b := garden.Bed{ID: garden.BedID(newID()), Garden: g.ID, Name: fmt.Sprint(i + 1)}
		r.Put(b)
		r.Put(garden.Planting{ID: garden.PlantingID(newID()), Bed: b.ID, Crop: c, Date: civil.When{Date: civil.Of(2026, 4, 3)}})
	}
	return r
}

func (s *site) get(path string) *httptest.ResponseRecorder {
	s.t.Helper()
	w := httptest.NewRecorder()
	s.http.ServeHTTP(w, atDesk(httptest.NewRequest("GET", path, nil)))
	return w
}

func (s *site) post(path string, form url.Values) *httptest.ResponseRecorder {
	s.t.Helper()
	r := httptest.NewRequest("POST", path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	w := httptest.NewRecorder()
	s.http.ServeHTTP(w, atDesk(r))
	return w
}

func atDesk(r *http.Request) *http.Request {
	r.RemoteAddr, r.Host = "127.0.0.1:5000", "localhost:8417"
	return r
}

func (s *site) read() garden.Records {
	s.t.Helper()
	r, err := s.book.Read(context.Background(), garden.Want{})
	must(s.t, err)
	return r
}

// entry writes an entry as a phone does.
func entry(id garden.ID, kind, action, target string, fields ...string) string {
	f := map[string]string{}
	for i := 0; i+1 < len(fields); i += 2 {
		f[fields[i]] = fields[i+1]
	}
	out, err := json.Marshal(map[string]any{"id": id, "at": "2026-07-14T11:58:00+02:00", "kind": kind, "action": action, "target": target, "fields": f})
	if err != nil {
		panic(err)
	}
	return string(out)
}

func (s *site) take(written ...string) []web.Receipt {
	s.t.Helper()
	got, err := s.web.Take(context.Background(), written, garden.DeviceID{})
	must(s.t, err)
	return got
}

func (s *site) wantIs(got []web.Receipt, want ...string) {
	s.t.Helper()
	var is []string
	for _, g := range got {
		is = append(is, g.Is)
	}
	if strings.Join(is, " ") != strings.Join(want, " ") {
		s.t.Errorf("the receipts are %+v, want %v", got, want)
	}
}
