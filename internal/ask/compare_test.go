package ask_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"fairplot/internal/ask"
	"fairplot/internal/civil"
	"fairplot/internal/finding"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// book has one garden of twelve beds of carrots, half of them dug; in each, of forty roots some were forked.
func book() garden.Records {
	id := byte(0)
	next := func() garden.ID { id++; return garden.ID{6: 0x70, 15: id} }
	g := garden.Garden{ID: garden.GardenID(next()), Name: "terrace", Nothing: []garden.NothingPeriod{{Kind: garden.KindCultivation}}}
	r := garden.Records{Gardens: []garden.Garden{g}}
	for i := range 12 {
		b := garden.Bed{ID: garden.BedID(next()), Garden: g.ID, Name: string(rune('a' + i)), Length: garden.Some(unit.Length(5)), Width: garden.Some(unit.Length(1))}
		p := garden.Planting{ID: garden.PlantingID(next()), Bed: b.ID, Crop: "carrot", Start: garden.Sown, Date: civil.When{Date: civil.Of(2025, time.April, 1)},
			Ended: civil.Of(2025, time.August, 1), Weighed: garden.AllWeighed}
		kg, forked := 15+float64(i%3), 12.0+float64(i%4)
		if i%2 == 0 {
			r.Cultivations = append(r.Cultivations, garden.Cultivation{ID: garden.Ref[garden.Cultivation](next()), Beds: []garden.BedID{b.ID}, How: garden.DoubleDug, Date: civil.Of(2025, time.March, 1)})
			kg, forked = 2*kg, forked/3
		}
		r.Beds, r.Plantings = append(r.Beds, b), append(r.Plantings, p)
		r.Harvests = append(r.Harvests, garden.Harvest{ID: garden.HarvestID(next()), Planting: p.ID, Date: p.Ended, Mass: garden.Some(unit.Mass(kg)), Weighing: garden.ByScale})
		r.Measurements = append(r.Measurements, garden.Measurement{ID: garden.Ref[garden.Measurement](next()), Planting: p.ID, What: "forked roots", Value: float64(int(forked)), N: garden.Some(40), Date: p.Ended})
	}
	return r
}

func call(subject string, said map[string]string) ask.Call {
	r := book()
	return ask.Call{Subject: subject, Said: said, Records: r, Setup: ask.Setup(r, civil.Of(2026, time.January, 1))}
}

func canonical(t *testing.T, subject string, said map[string]string) string {
	t.Helper()
	q, _ := ask.Find("compare")
	text, err := ask.Canonical(q, call(subject, said))
	if err != nil {
		t.Fatalf("%s %v: %v", subject, said, err)
	}
	return text
}

// TestTheSameQuestionCountsOnce: order, spelling, margin, confidence and reference make no other question; response, area, whole year and filters do.
func TestTheSameQuestionCountsOnce(t *testing.T) {
	plain := canonical(t, "cultivation", nil)
	for _, said := range []map[string]string{{"matters": "40%"}, {"confidence": "90%"}, {"against": "undisturbed"}, {"per": "bed"}, {"response": "yield"}} {
		if got := canonical(t, "cultivation", said); got != plain {
			t.Errorf("%v: %q, want %q", said, got, plain)
		}
	}
	if a, b := canonical(t, "cultivation", map[string]string{"levels": "undisturbed, double dug"}), canonical(t, "Cultivation", map[string]string{"levels": "Double Dug,undisturbed"}); a != b {
		t.Errorf("%q and %q", a, b)
	}
	if a, b := canonical(t, "cultivation", map[string]string{"response": "count forked roots"}), canonical(t, "cultivation", map[string]string{"response": "count  Forked roots"}); a != b {
		t.Errorf("%q and %q", a, b)
	}
	seen := map[string]bool{plain: true}
	for _, said := range []map[string]string{{"response": "count forked roots"}, {"response": "piece mass"}, {"per": "ground"}, {"whole-year": "true"}, {"whole-year": "true", "response": "hours"},
		{"crop": "carrot"}, {"seasons": "2025"}, {"gardens": "terrace"}, {"levels": "double dug,undisturbed"}, {"adjust": "compost"}} {
		got := canonical(t, "cultivation", said)
		if seen[got] {
			t.Errorf("%v counts as one asked before: %q", said, got)
		}
		seen[got] = true
	}
}

func TestBadWordsAreAnsweredWithBetterOnes(t *testing.T) {
	for _, bad := range []struct {
		subject string
		said    map[string]string
		hint    string
	}{
		{"cultivatoin", nil, "cultivation"},
		{"cultivation", map[string]string{"response": "yeild"}, "yield"},
		{"cultivation", map[string]string{"response": "count"}, "count WHAT"},
		{"cultivation", map[string]string{"response": "count forked rots"}, "forked roots"},
		{"cultivation", map[string]string{"response": "measured Brix"}, "forked roots"},
		{"cultivation", map[string]string{"levels": "double dig,undisturbed"}, "double dug"},
		{"cultivation", map[string]string{"against": "trenched"}, "undisturbed"},
		{"cultivation", map[string]string{"matters": "0"}, "25 %"},
		{"cultivation", map[string]string{"matters": "-10%"}, "25 %"},
		{"cultivation", map[string]string{"whole-year": "true", "crop": "carrot"}, "leave out the crops"},
		{"cultivation", map[string]string{"whole-year": "true", "response": "first harvest"}, "yield"},
	} {
		q, _ := ask.Find("compare")
		_, err := q.Run(call(bad.subject, bad.said))
		var e *garden.Error
		if !errors.As(err, &e) || !strings.Contains(e.Hint, bad.hint) {
			t.Errorf("%s %v: %v, want a hint with %q", bad.subject, bad.said, err, bad.hint)
		}
	}
}

func TestCountsAndWholeYearsAreAnswered(t *testing.T) {
	q, _ := ask.Find("compare")
	counts, err := q.Run(call("cultivation", map[string]string{"response": "count forked roots"}))
	if err != nil {
		t.Fatal(err)
	}
	// dug beds have a third of the forks, and fewer forks are better
	if counts.Finding.Verdict != finding.Better || !strings.Contains(counts.Finding.Answer, "the share of forked roots was ") {
		t.Errorf("%s: %s", counts.Finding.Verdict, counts.Finding.Answer)
	}
	year, err := q.Run(call("cultivation", map[string]string{"whole-year": "true"}))
	if err != nil || year.Finding.Verdict != finding.Better || len(year.Plots.Rows) != 12 {
		t.Errorf("%v %s on %d rows", err, year.Finding.Verdict, len(year.Plots.Rows))
	}
}

// TestMoneyNeedsThePricesOfTheGrower: without a price nothing is reckoned in money; with one on the crop it is.
func TestMoneyNeedsThePricesOfTheGrower(t *testing.T) {
	q, _ := ask.Find("compare")
	c := call("cultivation", map[string]string{"response": "money"})
	without, err := q.Run(c)
	if err != nil || without.Finding.Verdict != finding.Never {
		t.Fatalf("%v, %s", err, without.Finding.Verdict)
	}
	c.Records.Crops = []garden.Crop{{ID: garden.Ref[garden.Crop](garden.ID{15: 200}), Name: "Carrot", Own: []garden.OwnFigure{{What: "price per kg", Value: 2, Unit: "EUR/kg"}}}}
	c.Setup = ask.Setup(c.Records, c.Setup.Today)
	with, err := q.Run(c)
	if err != nil || with.Finding.Verdict != finding.Better || with.Plots.Rows[0][5] != "12" {
		t.Errorf("%v, %s: the first bed's 30 kg on 5 m² at 2 a kg are 12 per m², not %v", err, with.Finding.Verdict, with.Plots.Rows[:1])
	}
}
