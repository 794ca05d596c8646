package diary

import (
	"encoding/binary"
	"errors"
	"strings"
	"testing"
	"time"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// book is a diary under test: records, and a context over them.
type book struct {
	t *testing.T
	x *garden.Index
	n uint64
}

func newBook(t *testing.T) *book { return &book{t: t, x: garden.NewIndex(garden.Records{})} }

func (b *book) id() garden.ID {
	b.n++
	var id garden.ID
	id[6], id[8] = 0x70, 0x80
	binary.BigEndian.PutUint64(id[8:], b.n)
	return id
}

var today = civil.Of(2026, time.July, 14)

func (b *book) context() Context {
	return Context{Records: b.x, Today: today, NewID: b.id, Now: time.Date(2026, 7, 14, 8, 0, 0, 0, time.UTC), Asks: true,
		Dates: civil.Reader{Today: today, Order: civil.DayFirst},
		Units: unit.Reader{Currency: "EUR", Loads: map[string]unit.Load{"barrow": {Volume: 0.08}}}}
}

// fields reads "bed terrace/4; mass 2 kg" into a map.
func fields(s string) map[string]string {
	out := map[string]string{}
	for _, one := range strings.Split(s, "|") {
		name, text, _ := strings.Cut(strings.TrimSpace(one), " ")
		if name != "" {
			out[name] = strings.TrimSpace(text)
		}
	}
	return out
}

func (b *book) try(a Action, k garden.Kind, target, text string) (Outcome, error) {
	return Understand(b.context(), Draft{Action: a, Kind: k, Target: target, Fields: fields(text)})
}

func (b *book) do(a Action, k garden.Kind, target, text string) Outcome {
	b.t.Helper()
	o, err := b.try(a, k, target, text)
	if err != nil {
		b.t.Fatalf("%s %s %s: %v", a, k, text, err)
	}
	if len(o.Questions) > 0 {
		b.t.Fatalf("%s %s %s asks %+v", a, k, text, o.Questions)
	}
	Follow(b.x, o)
	return o
}

func terrace(t *testing.T) *book {
	b := newBook(t)
	b.do(Add, garden.KindGarden, "", "name terrace | ground 62 m2")
	b.do(Add, garden.KindBed, "", "bed terrace/1-6 | size 4.8 x 1.2 m")
	b.do(Add, garden.KindPlanting, "", "bed terrace/4 | crop parsnip | date 2026-04-03 | start sown")
	b.do(Add, garden.KindPlanting, "", "bed terrace/1-3 | crop carrot | date 2026-04-10 | start sown | plants 200")
	return b
}

func TestFirstWeighingNeedsNothingSetUp(t *testing.T) {
	b := newBook(t)
	o := b.do(Add, garden.KindHarvest, "", "bed kitchen/1 | crop carrot | mass 2kg")
	var kinds []garden.Kind
	for _, op := range o.Operations {
		kinds = append(kinds, op.Kind)
	}
	want := []garden.Kind{garden.KindGarden, garden.KindBed, garden.KindPlanting, garden.KindHarvest}
	if len(kinds) != 4 || kinds[0] != want[0] || kinds[1] != want[1] || kinds[2] != want[2] || kinds[3] != want[3] {
		t.Fatalf("made %v, want %v", kinds, want)
	}
	if len(o.Said) != 1 || o.Said[0] != "2 kg of carrot from kitchen/1 on 14 Jul 2026" {
		t.Errorf("said %q", o.Said)
	}
	if len(o.Flags) != 3 {
		t.Errorf("flags %q, want the garden, the bed and the crop named as new", o.Flags)
	}
	again := b.do(Add, garden.KindHarvest, "", "bed kitchen/1 | crop carrot | mass 500 g")
	if len(again.Operations) != 1 || len(again.Flags) != 0 {
		t.Errorf("a second weighing made %d records and flags %q", len(again.Operations), again.Flags)
	}
}

func TestASowingAfterTheFirstWeighing(t *testing.T) {
	b := newBook(t)
	b.do(Add, garden.KindHarvest, "", "bed kitchen/1 | crop carrot | mass 2kg")
	o := b.do(Add, garden.KindPlanting, "", "bed kitchen/1 | crop carrot | date 2026-04-10")
	if len(o.Flags) != 1 || !strings.Contains(o.Flags[0], "noted without a day") {
		t.Errorf("flags %q", o.Flags)
	}
	if o := b.do(Change, garden.KindPlanting, b.x.PlantingsOf("carrot")[0].ID.String(), "date 2026-04-10 | start sown"); len(o.Operations) != 1 {
		t.Errorf("giving it its day made %d changes", len(o.Operations))
	}
}

func TestOneIDForOneOfSeveral(t *testing.T) {
	b := terrace(t)
	o := b.do(Add, garden.KindPlanting, "", "bed terrace/5-6 | crop leek | id 0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f50")
	if len(o.Records) != 2 || o.Records[0].Identity() == o.Records[1].Identity() {
		t.Errorf("made %+v", o.Records)
	}
}

func TestNamesOfBeds(t *testing.T) {
	b := terrace(t)
	for text, want := range map[string]int{
		"terrace/1": 1, "terrace/1-3,5": 4, "terrace": 6, "4": 1, "Terrace / 2": 1, "terrace/1, terrace/2": 2, "1-3": 3,
	} {
		o, err := b.try(Add, garden.KindCultivation, "", "bed "+text+" | how forked")
		if err != nil || len(o.Records) != 1 {
			t.Errorf("%q: %v, asks %v", text, err, o.Questions)
			continue
		}
		if got := len(o.Records[0].(garden.Cultivation).Beds); got != want {
			t.Errorf("%q names %d beds, want %d", text, got, want)
		}
	}
}

func TestUnknownBedIsAskedAbout(t *testing.T) {
	b := terrace(t)
	o, err := b.try(Add, garden.KindHarvest, "", "bed terace/4 | mass 2 kg")
	if err != nil || len(o.Operations) != 0 || len(o.Questions) != 1 {
		t.Fatalf("got %+v, %v", o, err)
	}
	q := o.Questions[0]
	if q.Field != "bed" || q.Choices[0].Text != "terrace/4" || q.Choices[len(q.Choices)-1].Text != "+terace/4" {
		t.Errorf("asks %+v", q)
	}
	b.do(Add, garden.KindHarvest, "", "bed +terrace/9 | crop leek | mass 2 kg")
	c := b.context()
	c.Asks = false
	_, err = Understand(c, Draft{Action: Add, Kind: garden.KindHarvest, Fields: fields("bed terrace/77 | crop leek | mass 2 kg | date 2026-07-01")})
	var e *garden.Error
	if !errors.As(err, &e) || e.Kind != garden.Missing || e.Field != "bed" {
		t.Errorf("in a file: %v", err)
	}
}

func TestDoubtsAreKept(t *testing.T) {
	b := terrace(t)
	b.do(Add, garden.KindBed, "", "bed terrace/small | size 1 x 1 m")
	for text, want := range map[string]string{
		"planting terrace/4 parsnip | mass 1 kg | date 2026-04-01":   "before the crop began",
		"bed terrace/small | crop leek | mass 400 kg":                "400 kg from 1 m²",
		"planting terrace/4 parsnip | mass 1 kg | date 2026-12-24":   "lies in the future",
		"bed terrace/5 | crop snozzcumber | mass 1 kg":               "is not known",
		"planting terrace/4 parsnip | count 5 | sample 9 | mass 1kg": "sample of 9 is larger",
	} {
		o, err := b.try(Add, garden.KindHarvest, "", text)
		if err != nil || len(o.Operations) == 0 {
			t.Errorf("%q was not kept: %v %v", text, err, o.Questions)
			continue
		}
		if !strings.Contains(strings.Join(o.Flags, "\n"), want) {
			t.Errorf("%q flags %q, want %q", text, o.Flags, want)
		}
	}
	o := b.do(Add, garden.KindPlanting, "", "bed terrace/5 | crop leek | plants 900 | in-row 15 cm | between-rows 30 cm")
	if !strings.Contains(strings.Join(o.Flags, ""), "but the bed has 5.76 m²") {
		t.Errorf("flags %q", o.Flags)
	}
}

func TestWhatCannotBeReadIsRefused(t *testing.T) {
	b := terrace(t)
	for text, field := range map[string]string{
		"bed terrace/4 | mass -2 kg":              "mass",
		"bed terrace/4 | mass 2":                  "mass",
		"bed terrace/4 | mass 1.234,5 kg":         "mass",
		"bed terrace/4 | mass 2 kg | date 31 Feb": "date",
		"bed terrace/4 | mass 2 kg | stat topped": "stat",
		"bed terrace/4":                           "mass",
		"bed terrace/6 | mass 2 kg":               "crop",
		"bed terrace/4 | mass 2 kg | state topl":  "state",
	} {
		_, err := b.try(Add, garden.KindHarvest, "", text)
		var e *garden.Error
		if !errors.As(err, &e) || e.Field != field || e.Hint == "" {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestHarvestOfSeveralCropsAsks(t *testing.T) {
	b := terrace(t)
	b.do(Add, garden.KindPlanting, "", "bed terrace/4 | crop radish | date 2026-05-03")
	o, err := b.try(Add, garden.KindHarvest, "", "bed terrace/4 | mass 2 kg")
	if err != nil || len(o.Questions) != 1 || len(o.Questions[0].Choices) != 3 {
		t.Fatalf("%+v %v", o, err)
	}
	choice := o.Questions[0].Choices[1]
	done := b.do(Add, garden.KindHarvest, "", "bed terrace/4 | mass 2 kg | planting "+choice.Text)
	if done.Said[0] != "2 kg of radish from terrace/4 on 14 Jul 2026" {
		t.Errorf("said %q", done.Said)
	}
	o, err = b.try(Add, garden.KindHarvest, "", "bed terrace/4 | crop parsnib | mass 2 kg")
	if err != nil || len(o.Questions) != 1 || o.Questions[0].Choices[0].Text != "parsnip" {
		t.Errorf("a near name: %+v %v", o, err)
	}
}

func TestSortingOut(t *testing.T) {
	b := terrace(t)
	o := b.do(Add, garden.KindHarvest, "", "bed terrace/1-3 | mass 9 kg")
	waiting := ToSortOut(b.x)
	if len(waiting) != 1 || waiting[0].Crop != "carrot" || len(waiting[0].Beds) != 3 {
		t.Fatalf("waiting %+v, flags %q", waiting, o.Flags)
	}
	b.do(Place, garden.KindHarvest, waiting[0].ID.String(), "split area")
	if len(ToSortOut(b.x)) != 0 {
		t.Error("it still waits")
	}
	var sum unit.Mass
	crates := map[string]bool{}
	for _, id := range b.x.All(garden.KindHarvest) {
		h, _ := garden.Find(b.x, garden.HarvestID(id))
		sum += h.Net().Or(0)
		crates[h.Crate] = true
		if !h.Placed() || h.SplitBy != "area" {
			t.Errorf("part %+v", h)
		}
	}
	if len(b.x.All(garden.KindHarvest)) != 3 || sum < 9-1e-9 || sum > 9+1e-9 || len(crates) != 1 {
		t.Errorf("%d parts, %v kg, crates %v", len(b.x.All(garden.KindHarvest)), sum, crates)
	}
	b.do(Add, garden.KindHarvest, "", "bed don't know | crop parsnip | mass 1 kg")
	id := ToSortOut(b.x)[0].ID.String()
	b.do(Place, garden.KindHarvest, id, "planting terrace/4 parsnip")
	if len(ToSortOut(b.x)) != 0 {
		t.Error("placing by hand left it waiting")
	}
}

func TestEndingACropAsksWhetherAllWasWeighed(t *testing.T) {
	b := terrace(t)
	o, err := b.try(End, garden.KindPlanting, "terrace/4 parsnip", "")
	if err != nil || len(o.Questions) != 1 || o.Questions[0].Field != "weighed" || len(o.Operations) != 0 {
		t.Fatalf("%+v %v", o, err)
	}
	b.do(End, garden.KindPlanting, "terrace/4 parsnip", "weighed about 2 missed | date yesterday")
	p, _ := garden.Find(b.x, b.x.PlantingsOf("parsnip")[0].ID)
	if p.Weighed != garden.SomeMissed || p.Missed != garden.Some(2) || p.Ended != civil.Of(2026, time.July, 13) || p.Rev != 2 {
		t.Errorf("ended as %+v", p)
	}
}

func TestCountsOfAPlanting(t *testing.T) {
	b := terrace(t)
	b.do(Thin, garden.KindPlanting, "terrace/4", "plants 60 | date 2026-05-20")
	b.do(Stand, garden.KindPlanting, "terrace/4", "plants 55")
	b.do(Fill, garden.KindPlanting, "terrace/4", "plants 58 | date 2026-06-01")
	p := b.x.PlantingsOf("parsnip")[0]
	var days []string
	for _, s := range p.Stands {
		days = append(days, s.Date.String()+" "+string(s.What))
	}
	if got := strings.Join(days, ", "); got != "2026-05-20 thinned, 2026-06-01 gaps filled, 2026-07-14 standing" {
		t.Errorf("stands %s", got)
	}
	if _, err := b.try(Thin, garden.KindPlanting, "terrace/4", ""); err == nil {
		t.Error("a thinning without a count was taken")
	}
}

func TestChangeAndRemove(t *testing.T) {
	b := terrace(t)
	b.do(Add, garden.KindHarvest, "", "planting terrace/4 | mass 2 kg | note wet")
	id := garden.ID(b.x.HarvestsOf(b.x.PlantingsOf("parsnip")[0].ID)[0].ID)
	b.do(Change, garden.KindHarvest, Short(id), "mass 2.5 kg | note ")
	h, _ := garden.Find(b.x, garden.HarvestID(id))
	if h.Mass.Value != 2.5 || h.Note != "" || h.Rev != 2 {
		t.Errorf("changed to %+v", h)
	}
	if o := b.do(Change, garden.KindHarvest, Short(id), "mass 2500 g"); len(o.Operations) != 0 {
		t.Error("a change that changes nothing was written")
	}
	b.do(Change, garden.KindHarvest, Short(id), "bed terrace/2 | crop carrot")
	if got := b.x.PlantingName(b.x.HarvestsOf(b.x.PlantingsOf("carrot")[1].ID)[0].Planting); got != "terrace/2 carrot 2026-04-10" {
		t.Errorf("moved to %q", got)
	}
	_, err := b.try(Remove, garden.KindPlanting, "terrace/2 carrot", "")
	var e *garden.Error
	if !errors.As(err, &e) || e.Kind != garden.Refused || !strings.Contains(e.Text, "one harvest") {
		t.Errorf("removing what others name: %v", err)
	}
	b.do(Remove, garden.KindHarvest, id.String(), "")
	b.do(Remove, garden.KindPlanting, "terrace/2 carrot", "")
}

func TestOwnLoads(t *testing.T) {
	b := terrace(t)
	o := b.do(Add, garden.KindAmendment, "", "bed terrace/1-2 | material leaf compost | amount 2 barrows | placement mixed")
	a := o.Records[0].(garden.Amendment)
	if a.Volume.Value != 0.16 || a.Loads != "2 barrows" || o.Said[0] != "160 L (2 barrows) of leaf compost on terrace/1, terrace/2 on 14 Jul 2026" {
		t.Errorf("%+v, said %q", a, o.Said)
	}
}

func TestSecondGardenOfANameIsRefused(t *testing.T) {
	b := terrace(t)
	for _, text := range []string{"name Terrace"} {
		if _, err := b.try(Add, garden.KindGarden, "", text); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
	if _, err := b.try(Add, garden.KindBed, "", "bed terrace/3"); err == nil {
		t.Error("a second terrace/3 was taken")
	}
}
