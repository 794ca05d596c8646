package evidence_test

import (
	"bufio"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/evidence"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/practice"
	"fairplot/internal/unit"
)

// trap is one small book from testdata with the question asked of it and what must come of it.
type trap struct {
	question evidence.Question
	verdicts []finding.Verdict // any of these
	doubts   []finding.Code    // all of these
	answer   string            // words the answer must hold
	asked    int
	records  garden.Records
}

// TestTraps asks every book of testdata/traps, each a known mistake in the making, and of testdata/found, where something real is there to be found.
func TestTraps(t *testing.T) {
	for folder, least := range map[string]int{"traps": 30, "found": 30} {
		files, err := filepath.Glob(filepath.Join("testdata", folder, "*.book"))
		if err != nil || len(files) < least {
			t.Fatalf("%s: %d books, want at least %d (%v)", folder, len(files), least, err)
		}
		for _, file := range files {
			t.Run(folder+"/"+strings.TrimSuffix(filepath.Base(file), ".book"), func(t *testing.T) { spring(t, readTrap(t, file)) })
		}
	}
}

func spring(t *testing.T, tr trap) {
	f, _, err := evidence.Compare(tr.records, tr.question, setup(tr.asked))
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Contains(tr.verdicts, f.Verdict) {
		t.Errorf("verdict %q, want one of %q: %s", f.Verdict, tr.verdicts, f.Answer)
	}
	for _, code := range tr.doubts {
		if !slices.ContainsFunc(f.Doubts, func(d finding.Doubt) bool { return d.Code == code }) {
			t.Errorf("no doubt %s; there are %v", code, codes(f))
		}
	}
	if !strings.Contains(f.Answer, tr.answer) {
		t.Errorf("answer %q does not say %q", f.Answer, tr.answer)
	}
}

func codes(f finding.Finding) []finding.Code {
	var out []finding.Code
	for _, d := range f.Doubts {
		out = append(out, d.Code)
	}
	return out
}

func setup(asked int) evidence.Setup {
	return evidence.Setup{Today: civil.Of(2026, time.December, 31), Asked: asked, Seed: 1,
		Options: practice.Options{Family: func(string) string { return "" }},
		Usual:   func(string) (float64, bool) { return 40, true }, Food: func(string) (float64, bool) { return 400, true }}
}

// readTrap reads a book of this form: lines "word: value" say what is asked and wanted, every other line is a crop in a bed,
// "garden/bed year crop kg word=value ...".
func readTrap(t *testing.T, file string) trap {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	tr := trap{}
	b := booker{beds: map[string]garden.Bed{}, gardens: map[string]garden.GardenID{}}
	for s, n := bufio.NewScanner(f), 1; s.Scan(); n++ {
		line := strings.TrimSpace(s.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		if word, value, ok := strings.Cut(line, ": "); ok {
			if err := tr.say(word, value); err != nil {
				t.Fatalf("%s:%d: %v", file, n, err)
			}
			continue
		}
		if err := b.plant(strings.Fields(line)); err != nil {
			t.Fatalf("%s:%d: %v", file, n, err)
		}
	}
	tr.records = b.Records
	return tr
}

func (tr *trap) say(word, value string) error {
	list := strings.Split(value, ", ")
	switch word {
	case "ask":
		tr.question.What = practice.Name(value)
	case "response":
		tr.question.Response = value
	case "crops":
		tr.question.Crops = list
	case "gardens":
		tr.question.Gardens = list
	case "matters":
		m, err := strconv.ParseFloat(value, 64)
		tr.question.Matters = m
		return err
	case "adjust":
		tr.question.Adjust = []practice.Name{practice.Name(value)}
	case "asked":
		n, err := strconv.Atoi(value)
		tr.asked = n
		return err
	case "verdict":
		for _, v := range list {
			tr.verdicts = append(tr.verdicts, finding.Verdict(v))
		}
	case "doubts":
		for _, d := range list {
			tr.doubts = append(tr.doubts, finding.Code(d))
		}
	case "answer":
		tr.answer = value
	default:
		return fmt.Errorf("%q is no word of a book of traps", word)
	}
	return nil
}

// booker makes records of the lines.
type booker struct {
	garden.Records
	beds    map[string]garden.Bed
	gardens map[string]garden.GardenID
	n       uint16
}

func (b *booker) id() garden.ID {
	b.n++
	return garden.ID{byte(b.n >> 8), byte(b.n)}
}

func (b *booker) bed(name string, area float64) garden.Bed {
	if bed, ok := b.beds[name]; ok {
		return bed
	}
	in, number, _ := strings.Cut(name, "/")
	g, ok := b.gardens[in]
	if !ok {
		g = garden.GardenID(b.id())
		b.gardens[in] = g
		b.Gardens = append(b.Gardens, garden.Garden{ID: g, Name: in, Nothing: []garden.NothingPeriod{{Kind: garden.KindCultivation}, {Kind: garden.KindAmendment}, {Kind: garden.KindCover}}})
	}
	bed := garden.Bed{ID: garden.BedID(b.id()), Garden: g, Name: number, Length: garden.Some(unit.Length(area)), Width: garden.Some(unit.Length(1))}
	b.beds[name] = bed
	b.Beds = append(b.Beds, bed)
	return bed
}

// plant adds the crop of one line, with how its bed was worked and fed.
func (b *booker) plant(words []string) error {
	if len(words) < 4 {
		return fmt.Errorf("a crop needs bed, year, name and weight")
	}
	year, err := strconv.Atoi(words[1])
	if err != nil {
		return err
	}
	kg, err := strconv.ParseFloat(words[3], 64)
	if err != nil {
		return err
	}
	set := map[string]string{}
	for _, w := range words[4:] {
		k, v, _ := strings.Cut(w, "=")
		set[k] = strings.ReplaceAll(v, "-", " ")
	}
	number := func(key string, other float64) float64 {
		if v, err := strconv.ParseFloat(set[key], 64); err == nil {
			return v
		}
		return other
	}
	area := number("area", 5)
	bed := b.bed(words[0], area)
	start := civil.Of(year, time.April, 10)
	if set["half"] == "2" {
		start = civil.Of(year, time.July, 20)
	}
	p := garden.Planting{ID: garden.PlantingID(b.id()), Bed: bed.ID, Crop: words[2], Variety: set["variety"], Start: garden.Sown, Date: civil.When{Date: start},
		Ended: start.AddDays(95), Weighed: garden.AllWeighed}
	if plants := number("plants", 0); plants > 0 {
		p.Plants = garden.Some(int(plants * area))
	}
	b.deeds(bed, set, start, area, number)
	b.fate(&p, set)
	b.Plantings = append(b.Plantings, p)
	b.pick(p, kg, set, int(number("pickings", 2)))
	if v := number("measured", -1); v >= 0 {
		m := garden.Measurement{ID: garden.Ref[garden.Measurement](b.id()), Planting: p.ID, What: "forked", Value: v, Date: p.Ended}
		if n := number("of", 0); n > 0 {
			m.N = garden.Some(int(n))
		}
		b.Measurements = append(b.Measurements, m)
	}
	return nil
}

func (b *booker) deeds(bed garden.Bed, set map[string]string, start civil.Date, area float64, number func(string, float64) float64) {
	beds := []garden.BedID{bed.ID}
	if how := set["dig"]; how != "" && how != "undisturbed" {
		b.Cultivations = append(b.Cultivations, garden.Cultivation{ID: garden.Ref[garden.Cultivation](b.id()), Beds: beds, How: garden.Loosening(how), Date: start.AddDays(-20)})
	}
	if l := number("compost", 0); l > 0 {
		b.Amendments = append(b.Amendments, garden.Amendment{ID: garden.Ref[garden.Amendment](b.id()), Beds: beds, Material: "compost", Volume: garden.Some(unit.Volume(l*area) / 1000), Date: start.AddDays(-15)})
	}
	if mm := number("water", 0); mm > 0 {
		b.Waterings = append(b.Waterings, garden.Watering{ID: garden.Ref[garden.Watering](b.id()), Beds: beds, Depth: garden.Some(unit.Length(mm*60) / 1000), Date: start.AddDays(30)})
	}
	if what := set["cover"]; what != "" {
		b.Covers = append(b.Covers, garden.Cover{ID: garden.Ref[garden.Cover](b.id()), Beds: beds, What: what, On: start, Off: start.AddDays(90)})
	}
}

func (b *booker) fate(p *garden.Planting, set map[string]string) {
	switch set["failed"] {
	case "":
	case "hail", "theft":
		p.Failed, p.Why, p.StrikesAll = true, set["failed"], garden.Some(true)
	default:
		p.Failed, p.Why, p.StrikesAll = true, set["failed"], garden.Some(false)
	}
	if set["ended"] == "no" {
		p.Ended = civil.Date{}
	}
	switch set["missed"] {
	case "some":
		p.Weighed = garden.SomeMissed
	case "unknown":
		p.Weighed = garden.DontKnow
	}
}

func (b *booker) pick(p garden.Planting, kg float64, set map[string]string, pickings int) {
	if p.Failed || set["picked"] == "no" {
		return
	}
	for i := range pickings {
		h := garden.Harvest{ID: garden.HarvestID(b.id()), Planting: p.ID, Date: p.Date.Date.AddDays(60 + 30*i/pickings), Mass: garden.Some(unit.Mass(kg / float64(pickings))),
			Weighing: garden.ByScale, State: garden.State(set["state"]), Crate: set["crate"]}
		if set["eye"] != "" {
			h.Weighing = garden.ByEye
		}
		if set["edge"] == "out" {
			h.Edge = garden.EdgeOut
		}
		b.Harvests = append(b.Harvests, h)
	}
}
