package diary

import (
	"strconv"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// dated gives an entry without a day the day of the draft.
func dated(r *reading, at *civil.Date) error {
	if !at.IsZero() {
		return nil
	}
	if r.day.IsZero() {
		return &garden.Error{Kind: garden.Invalid, Field: "date", Text: "it is missing", Hint: "every line of a file needs its day"}
	}
	*at = r.day
	return nil
}

var workNoun = nounOf[garden.Work]{
	kind: garden.KindWork,
	fields: []field[garden.Work]{
		entryDay(func(v *garden.Work) *civil.Date { return &v.Date }),
		bedsField("the beds it was for", func(v *garden.Work) *[]garden.BedID { return &v.Beds }),
		gardenField("the garden, where it was for no one bed", func(v *garden.Work) *garden.GardenID { return &v.Garden }),
		choice("place", "a place outside the beds", []garden.Place{garden.SeedBench, garden.Heap, garden.Paths}, func(v *garden.Work) *garden.Place { return &v.Place }),
		plantingField("the crop it was for alone", func(v *garden.Work) *garden.PlantingID { return &v.Planting }),
		brief(text("task", "what was done", "weeding", func(v *garden.Work) *string { return &v.Task })),
		brief(spent),
		brief(text("who", "who did it", "Ana", func(v *garden.Work) *string { return &v.Who })),
		overYears,
		text("note", "anything else", "", func(v *garden.Work) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Work) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Work) string {
		where := w.Beds(v.Beds)
		if where == "" {
			where = sentence(w.Planting(v.Planting), w.named(garden.KindGarden, garden.ID(v.Garden)), string(v.Place))
		}
		return sentence(w.time(v.Time), "of", v.Task, with("in", where), "on", w.Date(v.Date))
	},
}

// spent is the time of a work.
var spent = field[garden.Work]{
	Field: Field{Name: "time", Says: "how long it took, all hands together", Example: "1h30", Type: Quantity, Unit: "min"},
	read: func(r *reading, v *garden.Work, s string) error {
		t, err := readTime(r, s)
		v.Time = t
		return err
	},
	write: func(w *Writing, v garden.Work) string { return w.time(v.Time) },
}

var overYears = field[garden.Work]{
	Field: Field{Name: "over-years", Says: "one-off work such as clearing stones: over how many years it counts", Example: "10", Type: Number},
	read: func(_ *reading, v *garden.Work, s string) error {
		v.OverYears = 0
		if s == "" {
			return nil
		}
		n, err := whole(s)
		if err == nil && n < 1 {
			err = invalid("work counts over one year at least", "leave it out for everyday work")
		}
		v.OverYears = n
		return err
	},
	write: func(_ *Writing, v garden.Work) string {
		if v.OverYears == 0 {
			return ""
		}
		return strconv.Itoa(v.OverYears)
	},
}

var cultivationNoun = nounOf[garden.Cultivation]{
	kind: garden.KindCultivation,
	fields: []field[garden.Cultivation]{
		entryDay(func(v *garden.Cultivation) *civil.Date { return &v.Date }),
		bedsField("the beds that were worked", func(v *garden.Cultivation) *[]garden.BedID { return &v.Beds }),
		brief(choice("how", "how the ground was worked",
			[]garden.Loosening{garden.Undisturbed, garden.Raked, garden.Hoed, garden.Forked, garden.SingleDug, garden.Tilled, garden.Broadforked, garden.DoubleDug},
			func(v *garden.Cultivation) *garden.Loosening { return &v.How })),
		brief(length("depth", "how deep", "50 cm", func(v *garden.Cultivation) *garden.Maybe[unit.Length] { return &v.Depth })),
		plantingField("the crop it was meant for", func(v *garden.Cultivation) *garden.PlantingID { return &v.MeantFor }),
		length("from", "where the worked part begins along the bed", "0 m", func(v *garden.Cultivation) *garden.Maybe[unit.Length] { return &v.Part.From }),
		length("to", "where it ends", "2.4 m", func(v *garden.Cultivation) *garden.Maybe[unit.Length] { return &v.Part.To }),
		share("share", "its share of the bed", "50 %", func(v *garden.Cultivation) *garden.Maybe[float64] { return &v.Part.Share }),
		text("plot", "the trial plot", "digging26/A3", func(v *garden.Cultivation) *string { return &v.Part.Plot }),
		text("note", "anything else", "", func(v *garden.Cultivation) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Cultivation) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Cultivation) string {
		depth := ""
		if v.Depth.Known {
			depth = w.length(v.Depth.Value) + " deep"
		}
		return sentence(w.Beds(v.Beds), string(v.How), depth, "on", w.Date(v.Date))
	},
}

var amendmentNoun = nounOf[garden.Amendment]{
	kind: garden.KindAmendment,
	fields: []field[garden.Amendment]{
		entryDay(func(v *garden.Amendment) *civil.Date { return &v.Date }),
		bedsField("the beds that got it", func(v *garden.Amendment) *[]garden.BedID { return &v.Beds }),
		brief(text("material", "what it was", "leaf compost", func(v *garden.Amendment) *string { return &v.Material })),
		typed(Field{Name: "amount", Says: "how much for all these beds together: a volume, a weight or your own loads", Example: "2 barrows", Type: Quantity}, readDressing),
		brief(volume("volume", "its volume for all these beds together", "160 L", func(v *garden.Amendment) *garden.Maybe[unit.Volume] { return &v.Volume })),
		brief(mass("mass", "its weight for all these beds together", "12 kg", func(v *garden.Amendment) *garden.Maybe[unit.Mass] { return &v.Mass })),
		text("loads", "the amount as it was written", "2 barrows", func(v *garden.Amendment) *string { return &v.Loads }),
		brief(choice("placement", "where it went", []garden.Placement{garden.OnSurface, garden.MixedIn, garden.InTrench}, func(v *garden.Amendment) *garden.Placement { return &v.Placement })),
		length("depth", "how deep it was mixed in or laid", "20 cm", func(v *garden.Amendment) *garden.Maybe[unit.Length] { return &v.Depth }),
		cropFieldPlain("meant-for", "the crop it was meant for; it then counts there alone", func(v *garden.Amendment) *string { return &v.MeantFor }),
		length("from", "where the fed part begins along the bed", "0 m", func(v *garden.Amendment) *garden.Maybe[unit.Length] { return &v.Part.From }),
		length("to", "where it ends", "2.4 m", func(v *garden.Amendment) *garden.Maybe[unit.Length] { return &v.Part.To }),
		share("share", "its share of the bed", "50 %", func(v *garden.Amendment) *garden.Maybe[float64] { return &v.Part.Share }),
		text("plot", "the trial plot", "compost26/A3", func(v *garden.Amendment) *string { return &v.Part.Plot }),
		text("note", "anything else", "", func(v *garden.Amendment) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Amendment) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Amendment) string {
		amount := ""
		if v.Volume.Known {
			amount = w.volume(v.Volume.Value)
		} else if v.Mass.Known {
			amount = w.mass(v.Mass.Value)
		}
		if v.Loads != "" {
			amount += " (" + v.Loads + ")"
		}
		return sentence(amount, "of", v.Material, "on", w.Beds(v.Beds), "on", w.Date(v.Date))
	},
}

func cropFieldPlain[T garden.Record](name, says string, at func(*T) *string) field[T] {
	f := cropField(name, says, at)
	f.Brief = false
	return f
}

// readDressing takes a volume, a mass or the grower's own loads.
func readDressing(r *reading, v *garden.Amendment, s string) error {
	a, err := r.Units.Amount(s, unit.NoDefault)
	if err != nil {
		return hinted(err)
	}
	v.Volume, v.Mass, v.Loads = garden.Maybe[unit.Volume]{}, garden.Maybe[unit.Mass]{}, a.Loads
	if a.ByMass {
		v.Mass = garden.Some(a.Mass)
	} else {
		v.Volume = garden.Some(a.Volume)
	}
	return nil
}

var wateringNoun = nounOf[garden.Watering]{
	kind: garden.KindWatering,
	fields: []field[garden.Watering]{
		entryDay(func(v *garden.Watering) *civil.Date { return &v.Date }),
		bedsField("the beds that were watered", func(v *garden.Watering) *[]garden.BedID { return &v.Beds }),
		typed(Field{Name: "amount", Says: "how much: a volume for all these beds together, a depth on each, or your own loads", Example: "40 L", Type: Quantity}, readWater),
		brief(volume("volume", "the volume for all these beds together", "40 L", func(v *garden.Watering) *garden.Maybe[unit.Volume] { return &v.Volume })),
		brief(length("depth", "the depth on each bed", "8 mm", func(v *garden.Watering) *garden.Maybe[unit.Length] { return &v.Depth })),
		text("note", "anything else", "", func(v *garden.Watering) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Watering) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Watering) string {
		amount := ""
		if v.Volume.Known {
			amount = w.volume(v.Volume.Value)
		} else if v.Depth.Known {
			amount = w.length(v.Depth.Value)
		}
		return sentence(amount, "of water on", w.Beds(v.Beds), "on", w.Date(v.Date))
	},
}

func readWater(r *reading, v *garden.Watering, s string) error {
	v.Volume, v.Depth = garden.Maybe[unit.Volume]{}, garden.Maybe[unit.Length]{}
	if l, err := r.Units.Length(s, unit.NoDefault); err == nil {
		v.Depth = garden.Some(l)
		return nil
	}
	q, err := r.Units.Volume(s, unit.NoDefault)
	v.Volume = garden.Some(q)
	return hinted(err)
}

var coverNoun = nounOf[garden.Cover]{
	kind: garden.KindCover,
	fields: []field[garden.Cover]{
		brief(day("on", "the day it went on; today unless given", "2026-03-20", func(v *garden.Cover) *civil.Date { return &v.On })),
		bedsField("the beds it lies on", func(v *garden.Cover) *[]garden.BedID { return &v.Beds }),
		brief(text("what", "what it is", "fleece", func(v *garden.Cover) *string { return &v.What })),
		brief(day("off", "the day it came off", "2026-05-02", func(v *garden.Cover) *civil.Date { return &v.Off })),
		text("note", "anything else", "", func(v *garden.Cover) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Cover) error { return dated(r, &v.On) },
	says: func(w *Writing, v garden.Cover) string {
		return sentence(v.What, "on", w.Beds(v.Beds), "from", w.Date(v.On), with("to", w.Date(v.Off)))
	},
}

var treatmentNoun = nounOf[garden.Treatment]{
	kind: garden.KindTreatment,
	fields: []field[garden.Treatment]{
		entryDay(func(v *garden.Treatment) *civil.Date { return &v.Date }),
		bedsField("the beds that were treated", func(v *garden.Treatment) *[]garden.BedID { return &v.Beds }),
		plantingField("the crop that was treated", func(v *garden.Treatment) *garden.PlantingID { return &v.Planting }),
		brief(text("product", "what was used", "soft soap", func(v *garden.Treatment) *string { return &v.Product })),
		text("dose", "how much", "20 mL in 1 L", func(v *garden.Treatment) *string { return &v.Dose }),
		brief(count("days-to-harvest", "how many days until it may be picked", "3", func(v *garden.Treatment) *garden.Maybe[int] { return &v.DaysToHarvest })),
		text("note", "anything else", "", func(v *garden.Treatment) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Treatment) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Treatment) string {
		return sentence(v.Product, with("on", sentence(w.Beds(v.Beds), w.Planting(v.Planting))), "on", w.Date(v.Date))
	},
}
