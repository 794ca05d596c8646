package web_test

import (
	"context"
	"net/http/httptest"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"fairplot/internal/demo"
	"fairplot/internal/garden"
)

// large is a site on a book of about 200,000 entries, made once.
var large = struct {
	once sync.Once
	site *site
}{}

func largeSite(b *testing.B) *site {
	b.Helper()
	large.once.Do(func() {
		// Its book outlives the benchmark that happens to make it: the folder is the whole run's.
		large.site = newSite(&whole{b}, demo.Make(1, demo.Large(), demo.Usual()))
		large.site.get("/note/harvest")
	})
	large.site.t = b
	return large.site
}

// whole is a benchmark whose cleaning up waits for the end of the run, which the system then does.
type whole struct{ testing.TB }

func (w *whole) Cleanup(func()) {}

func (w *whole) TempDir() string { return tempDir }

// each runs do b.N times from four clients, and reports the slowest of a hundred.
func each(b *testing.B, do func(i int)) {
	times := make([]time.Duration, b.N)
	var next sync.Mutex
	at := 0
	var busy sync.WaitGroup
	b.ResetTimer()
	for range 4 {
		busy.Go(func() {
			for {
				next.Lock()
				i := at
				at++
				next.Unlock()
				if i >= b.N {
					return
				}
				start := time.Now()
				do(i)
				times[i] = time.Since(start)
			}
		})
	}
	busy.Wait()
	b.StopTimer()
	b.ReportMetric(float64(slowest(times).Microseconds())/1000, "p99-ms")
}

// slowest is what 99 of a hundred stay under.
func slowest(times []time.Duration) time.Duration {
	slices.Sort(times)
	return times[len(times)*99/100]
}

// bare is a file beside the book, written by pages of 4 kB and each time waited for until the disk has them.
type bare struct {
	file  *os.File
	page  [4096]byte
	times []time.Duration
}

func newBare(b *testing.B) *bare {
	b.Helper()
	f, err := os.CreateTemp(tempDir, "bare")
	must(b, err)
	b.Cleanup(func() { must(b, f.Close()) })
	return &bare{file: f}
}

func (d *bare) write(b *testing.B) {
	b.Helper()
	start := time.Now()
	_, err := d.file.Write(d.page[:])
	must(b, err)
	must(b, d.file.Sync())
	d.times = append(d.times, time.Since(start))
}

func BenchmarkEntryPage(b *testing.B) {
	s := largeSite(b)
	each(b, func(int) { s.get("/note/harvest") })
}

func BenchmarkEntry(b *testing.B) {
	s := largeSite(b)
	bed := s.read().Beds[0].ID.String()
	sent := make([]string, b.N)
	for i := range sent {
		sent[i] = entry(newID(), "harvest", "add", "", "bed", bed, "crop", "chard", "mass", "1.25 kg", "weighing", "weighed", "date", "2026-07-14")
	}
	times, disk := make([]time.Duration, b.N), newBare(b)
	b.ResetTimer()
	for i := range sent { // in turns with the bare disk, so that what else this computer does slows both alike
		start := time.Now()
		if _, err := s.web.Take(context.Background(), sent[i:i+1], garden.DeviceID{}); err != nil {
			b.Error(err)
		}
		times[i] = time.Since(start)
		b.StopTimer()
		disk.write(b)
		b.StartTimer()
	}
	b.StopTimer()
	own, itself := slowest(times), slowest(disk.times)
	b.ReportMetric(float64(own.Microseconds())/1000, "p99-ms")
	b.ReportMetric(float64(itself.Microseconds())/1000, "bare-disk-p99-ms")
	b.ReportMetric(float64(own)/float64(itself), "times-the-disk")
}

// BenchmarkEntriesOfFour keeps entries of four phones at once.
func BenchmarkEntriesOfFour(b *testing.B) {
	s := largeSite(b)
	bed := s.read().Beds[0].ID.String()
	sent := make([]string, b.N)
	for i := range sent {
		sent[i] = entry(newID(), "harvest", "add", "", "bed", bed, "crop", "chard", "mass", "1.25 kg", "weighing", "weighed", "date", "2026-07-14")
	}
	each(b, func(i int) {
		if _, err := s.web.Take(context.Background(), sent[i:i+1], garden.DeviceID{}); err != nil {
			b.Error(err)
		}
	})
}

// BenchmarkFiftyEntries sends what a phone holds after a week without a signal.
func BenchmarkFiftyEntries(b *testing.B) {
	s := largeSite(b)
	bed := s.read().Beds[0].ID.String()
	for b.Loop() {
		var some []string
		for range 50 {
			some = append(some, entry(newID(), "harvest", "add", "", "bed", bed, "crop", "chard", "mass", "1.25 kg", "date", "2026-07-14"))
		}
		s.take(some...)
	}
}

func benchmarkPage(b *testing.B, path string) {
	s := largeSite(b)
	each(b, func(int) {
		if w := s.get(path); w.Code != 200 {
			b.Errorf("%s: %d", path, w.Code)
		}
	})
}

func BenchmarkToday(b *testing.B) { benchmarkPage(b, "/") }

func BenchmarkGround(b *testing.B) { benchmarkPage(b, "/ground?season=2024") }

// BenchmarkGroundFirst draws the plan after an entry, when nothing of it is on the shelf.
func BenchmarkGroundFirst(b *testing.B) {
	s := largeSite(b)
	bed := s.read().Beds[0].ID.String()
	times := make([]time.Duration, b.N)
	for i := range times {
		s.take(entry(newID(), "harvest", "add", "", "bed", bed, "crop", "chard", "mass", "1.25 kg", "date", "2026-07-14"))
		start := time.Now()
		if w := s.get("/ground?season=2024"); w.Code != 200 {
			b.Fatal(w.Code)
		}
		times[i] = time.Since(start)
	}
	b.ReportMetric(float64(slowest(times).Microseconds())/1000, "p99-ms")
}

func BenchmarkSeasons(b *testing.B) { benchmarkPage(b, "/seasons") }

// BenchmarkStart reads the whole book, as the first page after the program's start does.
func BenchmarkStart(b *testing.B) {
	s := largeSite(b)
	for b.Loop() {
		s.again().get("/note/harvest")
	}
}

// BenchmarkPlainPost goes through the form's door.
func BenchmarkPlainPost(b *testing.B) {
	s := largeSite(b)
	for b.Loop() {
		r := httptest.NewRequest("POST", "/note/harvest", strings.NewReader("id="+newID().String()+"&bed=don%27t+know&crop.other=chard&mass=2&unit.mass=kg"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		w := httptest.NewRecorder()
		s.http.ServeHTTP(w, r)
		if w.Code != 303 {
			b.Fatal(w.Code)
		}
	}
}
