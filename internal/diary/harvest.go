package diary

import (
	"fmt"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

var harvestNoun = nounOf[garden.Harvest]{
	kind: garden.KindHarvest,
	fields: []field[garden.Harvest]{
		entryDay(func(v *garden.Harvest) *civil.Date { return &v.Date }),
		pickedFrom(),
		pickedBeds("the bed or beds it came from; “several” or “don't know” leaves it to be sorted out"),
		pickedCrop("the crop, where the bed has several"),
		brief(mass("mass", "the net weight", "1.5 kg", func(v *garden.Harvest) *garden.Maybe[unit.Mass] { return &v.Mass })),
		mass("gross", "the weight with the basket", "2.1 kg", func(v *garden.Harvest) *garden.Maybe[unit.Mass] { return &v.Gross }),
		mass("tare", "the weight of the empty basket", "600 g", func(v *garden.Harvest) *garden.Maybe[unit.Mass] { return &v.Tare }),
		brief(count("count", "how many pieces", "12", func(v *garden.Harvest) *garden.Maybe[int] { return &v.Count })),
		count("sample", "how many of them were weighed, if only a sample was", "10", func(v *garden.Harvest) *garden.Maybe[int] { return &v.SampleCount }),
		choice("state", "the state it was weighed in",
			[]garden.State{garden.AsLifted, garden.Topped, garden.Trimmed, garden.Shelled, garden.Cured, garden.Dried}, func(v *garden.Harvest) *garden.State { return &v.State }),
		choice("weighing", "how the weight came about",
			[]garden.Weighing{garden.ByScale, garden.ByEye, garden.BySample}, func(v *garden.Harvest) *garden.Weighing { return &v.Weighing }),
		choice("edge", "whether the plants on the rim are in it", []garden.Edge{garden.EdgeIn, garden.EdgeOut}, func(v *garden.Harvest) *garden.Edge { return &v.Edge }),
		choice("use", "where it went",
			[]garden.Use{garden.Eaten, garden.Given, garden.Sold, garden.Stored, garden.Animals, garden.ToHeap}, func(v *garden.Harvest) *garden.Use { return &v.Use }),
		text("round", "the weighing round it was noted in", "Saturday", func(v *garden.Harvest) *string { return &v.Round }),
		yes("nothing", "looked, and there was nothing to pick", func(v *garden.Harvest) *bool { return &v.Nothing }),
		typed(Field{Name: "split", Says: "split one crate from several beds by area, by plants, or by hand", Example: "area", Type: Word, Words: splits}, later),
		typed(Field{Name: "parts", Says: "the parts of each bed, for a split by hand", Example: "2 kg; 1.5 kg", Type: Text}, later),
		text("crate", "the shared weighing it is a part of", "c41f9a22", func(v *garden.Harvest) *string { return &v.Crate }),
		text("split-by", "how that weighing was split", "area", func(v *garden.Harvest) *string { return &v.SplitBy }),
		text("note", "anything else", "two were forked", func(v *garden.Harvest) *string { return &v.Note }),
	},
	settle: settleHarvest,
	spread: spreadHarvest,
	says:   sayHarvest,
	title:  sayHarvest,
	acts:   map[Action]act[garden.Harvest]{Place: placeHarvest},
}

// settleHarvest finds the planting of a picking, or leaves it to be sorted out.
func settleHarvest(r *reading, v *garden.Harvest) error {
	if v.Date.IsZero() {
		if r.day.IsZero() {
			return &garden.Error{Kind: garden.Invalid, Field: "date", Text: "it is missing", Hint: "every line of a file needs its day"}
		}
		v.Date = r.day
	}
	if v.Mass.Known && v.Weighing == garden.NotRecorded && r.action == Add && r.Asks && !v.SampleCount.Known {
		v.Weighing = garden.ByScale
	}
	if v.SampleCount.Known && v.Weighing == garden.NotRecorded {
		v.Weighing = garden.BySample
	}
	if r.given("planting") && !unsure(r.fields["planting"]) {
		v.Beds, v.Crop = nil, ""
		return nil
	}
	if v.Placed() && !r.given("bed") && !r.given("crop") {
		return nil
	}
	return r.place(v)
}

// place looks for the planting of v by bed and crop.
func (r *reading) place(v *garden.Harvest) error {
	if old, ok := find(r, v.Planting); ok {
		if v.Crop == "" {
			v.Crop = old.Crop
		}
		if len(v.Beds) == 0 {
			v.Beds = []garden.BedID{old.Bed}
		}
		v.Planting = garden.PlantingID{}
	}
	if len(v.Beds) > 1 || unsure(r.fields["bed"]) || unsure(r.fields["planting"]) {
		return r.nameCrop(v)
	}
	fits := r.fitting(v)
	switch {
	case len(fits) == 1:
		v.Planting, v.Beds, v.Crop = fits[0], nil, ""
		return nil
	case len(fits) > 1 && r.Asks:
		r.ask("planting", "of which crop is it?", append(r.choices(fits), Choice{Text: dontKnow, Says: "don't know: sort it out later"})...)
		return nil
	case len(fits) == 0 && len(v.Beds) == 1 && v.Crop != "":
		return r.newPlantingFor(v)
	}
	return r.nameCrop(v)
}

// fitting gives the plantings that v may be of: those standing on the day, or else the nearest in time where bed and crop are both
// named, since a slip in a date is likelier than a crop nobody noted.
func (r *reading) fitting(v *garden.Harvest) []garden.PlantingID {
	var named []garden.Planting
	if len(v.Beds) == 1 {
		named = ofCrop(append(r.Records.PlantingsIn(v.Beds[0]), r.madeIn(v.Beds[0])...), v.Crop)
	} else if v.Crop != "" {
		named = r.Records.PlantingsOf(v.Crop)
	}
	found := standingOn(named, v.Date)
	if len(found) == 0 && len(v.Beds) == 1 && (v.Crop != "" || len(named) == 1) {
		found = nearestInTime(named, v.Date)
	}
	var out []garden.PlantingID
	for _, p := range found {
		out = append(out, p.ID)
	}
	return out
}

func (r *reading) madeIn(bed garden.BedID) []garden.Planting {
	var out []garden.Planting
	for _, rec := range r.made {
		if p, ok := rec.(garden.Planting); ok && p.Bed == bed {
			out = append(out, p)
		}
	}
	return out
}

// stray is how many days before its start or after its end a picking is still taken to be of a crop.
const stray = 60

func nearestInTime(list []garden.Planting, day civil.Date) []garden.Planting {
	best, far := -1, stray+1
	for i, p := range list {
		away := p.Date.Date.Sub(day)
		if !p.Ended.IsZero() && day.After(p.Ended) {
			away = day.Sub(p.Ended)
		}
		if away >= 0 && away < far {
			best, far = i, away
		}
	}
	if best < 0 {
		return nil
	}
	return list[best : best+1]
}

// newPlantingFor notes the crop that a picking shows to have stood in the bed. A near name of a crop that stands there is
// asked about first.
func (r *reading) newPlantingFor(v *garden.Harvest) error {
	bed := v.Beds[0]
	var crops []string
	for _, p := range standingOn(r.Records.PlantingsIn(bed), v.Date) {
		crops = append(crops, p.Crop)
	}
	if near := word.Near(v.Crop, crops); len(near) > 0 && !strings.HasPrefix(r.fields["crop"], "+") {
		if !r.Asks {
			r.flag(fmt.Sprintf("no %s stands in %s, but %s does; it waits to be sorted out", v.Crop, r.bedName(bed), word.Or(near)))
			return nil
		}
		var choices []Choice
		for _, n := range near {
			choices = append(choices, Choice{Text: n, Says: n + ", which stands there"})
		}
		r.ask("crop", fmt.Sprintf("no %s stands in %s", v.Crop, r.bedName(bed)), append(choices, Choice{Text: "+" + v.Crop, Says: v.Crop + ", a crop not noted yet"})...)
		return nil
	}
	p, err := create(r, garden.Planting{Bed: bed, Crop: v.Crop})
	if err != nil {
		return err
	}
	r.flag(fmt.Sprintf("%s in %s is new, without a sowing day yet", v.Crop, r.bedName(bed)))
	v.Planting, v.Beds, v.Crop = p.ID, nil, ""
	return nil
}

// nameCrop leaves the picking to be sorted out, which needs the crop at least.
func (r *reading) nameCrop(v *garden.Harvest) error {
	if v.Crop == "" {
		var crops []string
		for _, b := range v.Beds {
			for _, p := range standingOn(r.Records.PlantingsIn(b), v.Date) {
				crops = append(crops, p.Crop)
			}
		}
		if crops = unique(crops); len(crops) != 1 {
			hint := "name it, such as parsnip"
			if len(crops) > 1 {
				hint = "there stand " + word.Or(crops)
			}
			return &garden.Error{Kind: garden.Invalid, Field: "crop", Text: "it does not say which crop was picked", Hint: hint}
		}
		v.Crop = crops[0]
	}
	if !r.given("split") {
		r.flag(fmt.Sprintf("%s of %s waits to be sorted out: it counts in totals, not in comparisons", "this harvest", v.Crop))
	}
	return nil
}

const dontKnow = "don't know"

// unsure reads the ways of saying that nobody knows where it came from.
func unsure(s string) bool {
	switch garden.Fold(s) {
	case dontKnow, "dont know", "don’t know", "unknown", "several", "?":
		return true
	}
	return false
}

func sayHarvest(w *Writing, v garden.Harvest) string {
	amount := "nothing"
	if net := v.Net(); net.Known {
		amount = w.mass(net.Value)
	}
	if v.Count.Known {
		if amount == "nothing" {
			amount = fmt.Sprintf("%d pieces", v.Count.Value)
		} else {
			amount += fmt.Sprintf(" (%d pieces)", v.Count.Value)
		}
	}
	crop, from := v.Crop, w.Beds(v.Beds)
	if p, ok := w.planting(v.Planting); ok {
		crop, from = p.Crop, w.Bed(p.Bed)
	}
	if from == "" {
		from = "a bed not known"
	}
	return sentence(amount, "of", crop, "from", from, "on", w.Date(v.Date))
}

// later is the reading of fields that are only looked at once the record is whole.
func later(*reading, *garden.Harvest, string) error { return nil }

// pickedFrom writes into files that nobody knows the planting yet, or reading the file would place it by bed and crop.
func pickedFrom() field[garden.Harvest] {
	f := plantingField("the crop it was picked from; or give bed and crop", func(v *garden.Harvest) *garden.PlantingID { return &v.Planting })
	write := f.write
	f.write = func(w *Writing, v garden.Harvest) string {
		if w.Exact && !v.Placed() {
			return dontKnow
		}
		return write(w, v)
	}
	f.Brief = false // bed and crop say it shorter
	return f
}

// pickedBeds shows people the bed of a placed picking too; a file has it in the planting alone.
func pickedBeds(says string) field[garden.Harvest] {
	f := bedsField(says, func(v *garden.Harvest) *[]garden.BedID { return &v.Beds })
	f.Example = "terrace/4"
	write := f.write
	f.write = func(w *Writing, v garden.Harvest) string {
		if p, ok := w.planting(v.Planting); ok && !w.Exact {
			return w.Bed(p.Bed)
		}
		return write(w, v)
	}
	return f
}

// pickedCrop does the same for the crop.
func pickedCrop(says string) field[garden.Harvest] {
	f := cropField("crop", says, func(v *garden.Harvest) *string { return &v.Crop })
	f.write = func(w *Writing, v garden.Harvest) string {
		if p, ok := w.planting(v.Planting); ok && !w.Exact {
			return p.Crop
		}
		return v.Crop
	}
	return f
}
