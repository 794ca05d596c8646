package diary

import (
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

var cropNoun = nounOf[garden.Crop]{
	kind: garden.KindCrop,
	fields: []field[garden.Crop]{
		brief(text("name", "its name", "oca", func(v *garden.Crop) *string { return &v.Name })),
		brief(text("family", "its family", "Oxalidaceae", func(v *garden.Crop) *string { return &v.Family })),
		brief(choice("counted-as", "the state in which its yield is counted",
			[]garden.State{garden.AsLifted, garden.Topped, garden.Trimmed, garden.Shelled, garden.Cured, garden.Dried}, func(v *garden.Crop) *garden.State { return &v.CountedAs })),
		yes("perennial", "it stands for years", func(v *garden.Crop) *bool { return &v.Perennial }),
		share("edible", "the share that is eaten", "85 %", func(v *garden.Crop) *garden.Maybe[float64] { return &v.Edible }),
		structured("own", "your own figures in place of built-in ones", `[{"what":"days to harvest","value":110,"unit":"d"}]`,
			func(v *garden.Crop) *[]garden.OwnFigure { return &v.Own }, empty[garden.OwnFigure]),
	},
	says: func(_ *Writing, v garden.Crop) string { return "the crop " + v.Name },
}

var varietyNoun = nounOf[garden.Variety]{
	kind: garden.KindVariety,
	fields: []field[garden.Variety]{
		cropField("crop", "the crop it is of", func(v *garden.Variety) *string { return &v.Crop }),
		brief(text("name", "its name", "Long White", func(v *garden.Variety) *string { return &v.Name })),
		text("note", "anything else", "", func(v *garden.Variety) *string { return &v.Note }),
	},
	says: func(_ *Writing, v garden.Variety) string { return sentence("the variety", v.Name, "of", v.Crop) },
}

var materialNoun = nounOf[garden.Material]{
	kind: garden.KindMaterial,
	fields: []field[garden.Material]{
		brief(text("name", "its name", "leaf compost", func(v *garden.Material) *string { return &v.Name })),
		brief(maybe(Field{Name: "density", Says: "weight by volume as it is spread", Example: "0.6 kg/L", Type: Quantity, Unit: "kg/m3"},
			func(v *garden.Material) *garden.Maybe[unit.Density] { return &v.Density }, readDensity, (*Writing).density)),
		share("dry-matter", "its dry share", "45 %", func(v *garden.Material) *garden.Maybe[float64] { return &v.DryMatter }),
		brief(share("n", "nitrogen, of the fresh weight", "0.8 %", func(v *garden.Material) *garden.Maybe[float64] { return &v.N })),
		share("p2o5", "phosphate, of the fresh weight", "0.4 %", func(v *garden.Material) *garden.Maybe[float64] { return &v.P2O5 }),
		share("k2o", "potash, of the fresh weight", "0.7 %", func(v *garden.Material) *garden.Maybe[float64] { return &v.K2O }),
		decimal("cn", "carbon to nitrogen", "18", func(v *garden.Material) *garden.Maybe[float64] { return &v.CN }),
		maybe(Field{Name: "price", Says: "what it costs", Example: "35.00", Type: Quantity},
			func(v *garden.Material) *garden.Maybe[unit.Money] { return &v.Price }, readMoney, (*Writing).money),
		text("price-per", "what that price is for", "m3", func(v *garden.Material) *string { return &v.PricePer }),
		text("source", "where the figures come from", "sack", func(v *garden.Material) *string { return &v.Source }),
		structured("heap", "the life of a heap", `{"started":"2026-03-01"}`,
			func(v *garden.Material) **garden.HeapLog { return &v.Heap }, func(h *garden.HeapLog) bool { return h == nil }),
	},
	says: func(_ *Writing, v garden.Material) string { return "the material " + v.Name },
}

var measureNoun = nounOf[garden.Measure]{
	kind: garden.KindMeasure,
	fields: []field[garden.Measure]{
		brief(text("name", "what you call it", "barrow", func(v *garden.Measure) *string { return &v.Name })),
		text("plural", "its plural, where it is not the name with an s", "", func(v *garden.Measure) *string { return &v.Plural }),
		brief(volume("volume", "the volume of one load", "80 L", func(v *garden.Measure) *garden.Maybe[unit.Volume] { return &v.Volume })),
		brief(mass("mass", "the weight of one load", "55 kg", func(v *garden.Measure) *garden.Maybe[unit.Mass] { return &v.Mass })),
		text("of", "the material that weight is of", "leaf compost", func(v *garden.Measure) *string { return &v.Of }),
		plainInt("loads", "by how many loads it was found", "5", func(v *garden.Measure) *int { return &v.Loads }),
	},
	says: func(w *Writing, v garden.Measure) string {
		holds := ""
		if v.Volume.Known {
			holds = w.volume(v.Volume.Value)
		}
		if v.Mass.Known {
			holds = sentence(holds, w.mass(v.Mass.Value))
		}
		return "one " + v.Name + " is " + holds
	},
}

var trialNoun = nounOf[garden.Trial]{
	kind: garden.KindTrial,
	fields: []field[garden.Trial]{
		brief(text("name", "its name", "spacing26", func(v *garden.Trial) *string { return &v.Name })),
		brief(text("question", "what it is to answer", "do close rows give more?", func(v *garden.Trial) *string { return &v.Question })),
		structured("factors", "what is tried", `[{"name":"spacing","levels":["close","wide"]}]`, func(v *garden.Trial) *[]garden.Factor { return &v.Factors }, empty[garden.Factor]),
		cropField("crop", "the crop", func(v *garden.Trial) *string { return &v.Crop }),
		text("response", "what is compared", "yield", func(v *garden.Trial) *string { return &v.Response }),
		matters,
		brief(text("design", "the design", "complete blocks", func(v *garden.Trial) *string { return &v.Design })),
		seed,
		structured("plots", "the layout", `[{"name":"A1","bed":"…","block":"A","levels":{"spacing":"close"}}]`, func(v *garden.Trial) *[]garden.TrialPlot { return &v.Plots }, empty[garden.TrialPlot]),
		brief(day("fixed-on", "the day it was fixed", "2026-03-01", func(v *garden.Trial) *civil.Date { return &v.FixedOn })),
		day("ended", "the day it ended", "2026-11-30", func(v *garden.Trial) *civil.Date { return &v.Ended }),
		structured("amendments", "what was changed after it was fixed, told in the open", `[{"date":"2026-05-01","text":"…"}]`,
			func(v *garden.Trial) *[]garden.Addendum { return &v.Amendments }, empty[garden.Addendum]),
	},
	settle: keepFixed,
	says:   func(_ *Writing, v garden.Trial) string { return "the trial " + v.Name },
}

// keepFixed lets a trial that was fixed only be ended or amended in the open.
func keepFixed(r *reading, v *garden.Trial) error {
	old, ok := garden.Find(r.Records, v.ID)
	if !ok || old.FixedOn.IsZero() {
		return nil
	}
	for name := range r.fields {
		if name != "ended" && name != "amendments" {
			return &garden.Error{Kind: garden.Refused, Field: name, Text: "the trial was fixed on " + old.FixedOn.Words(),
				Hint: "end it, or write what changed under amendments"}
		}
	}
	return nil
}

var matters = field[garden.Trial]{
	Field: Field{Name: "matters", Says: "the smallest difference worth acting on", Example: "25 %", Type: Number},
	read: func(r *reading, v *garden.Trial, s string) error {
		v.Matters = 0
		if s == "" {
			return nil
		}
		x, err := readShare(r, s)
		v.Matters = x
		return err
	},
	write: func(w *Writing, v garden.Trial) string { return w.share(v.Matters) },
}

var seed = field[garden.Trial]{
	Field: Field{Name: "seed", Says: "the number its lot was drawn with", Example: "20260301", Type: Number},
	read: func(_ *reading, v *garden.Trial, s string) error {
		v.Seed = 0
		if s == "" {
			return nil
		}
		n, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			return invalid(quoted(clip(s))+" is no seed", "give a whole number of 0 or more")
		}
		v.Seed = n
		return nil
	},
	write: func(_ *Writing, v garden.Trial) string { return strconv.FormatUint(v.Seed, 10) },
}

var personNoun = nounOf[garden.Person]{
	kind:   garden.KindPerson,
	fields: []field[garden.Person]{brief(text("name", "the name", "Ana", func(v *garden.Person) *string { return &v.Name }))},
	says:   func(_ *Writing, v garden.Person) string { return v.Name },
}

var deviceNoun = nounOf[garden.Device]{
	kind: garden.KindDevice,
	fields: []field[garden.Device]{
		brief(text("name", "what you call it", "Ana's phone", func(v *garden.Device) *string { return &v.Name })),
		ownerField,
		brief(day("since", "since when it sends entries", "2026-03-01", func(v *garden.Device) *civil.Date { return &v.Since })),
		brief(day("cut-off", "from when it may read no more", "2026-09-01", func(v *garden.Device) *civil.Date { return &v.CutOff })),
	},
	says: func(_ *Writing, v garden.Device) string { return "the device " + v.Name },
}

var ownerField = field[garden.Device]{
	Field: Field{Name: "person", Says: "whose it is", Example: "Ana", Type: Text, Brief: true},
	read: func(r *reading, v *garden.Device, s string) error {
		id, err := namedOne[garden.Person](r, garden.KindPerson, s)
		v.Person = id
		return err
	},
	write: func(w *Writing, v garden.Device) string { return w.named(garden.KindPerson, garden.ID(v.Person)) },
}

var settingNoun = nounOf[garden.Setting]{
	kind: garden.KindSetting,
	fields: []field[garden.Setting]{
		brief(choice("name", "which setting", []string{
			garden.SettingUnits, garden.SettingDates, garden.SettingMatters, garden.SettingYearStart, garden.SettingCurrency, garden.SettingConfidence,
			garden.SettingWalk,
		}, func(v *garden.Setting) *string { return &v.Name })),
		brief(text("value", "its value", "metric", func(v *garden.Setting) *string { return &v.Value })),
	},
	settle: settleSetting,
	says:   func(_ *Writing, v garden.Setting) string { return v.Name + " is " + v.Value },
}

// knownPlaces refuses a walking order that names what is no garden and no bed.
func knownPlaces(r *reading, walk string) error {
	for name := range strings.SplitSeq(walk, ",") {
		name = strings.TrimSpace(name)
		if name != "" && len(r.Records.Named(garden.KindGarden, name)) == 0 && len(r.Records.BedNamed(name)) == 0 {
			return invalid(quoted(name)+" is no bed and no garden", "write garden/bed, or a garden for all its beds, with commas between")
		}
	}
	return nil
}

// settleSetting refuses a value that nothing could make sense of later, and a second setting of one name.
func settleSetting(r *reading, v *garden.Setting) error {
	for _, id := range r.Records.Named(garden.KindSetting, v.Name) {
		if id != garden.ID(v.ID) {
			return &garden.Error{Kind: garden.Refused, Field: "name", Text: quoted(v.Name) + " is set already", Hint: "change it instead: setting change " + v.Name + " --value " + v.Value}
		}
	}
	var err error
	switch v.Name {
	case garden.SettingUnits:
		v.Value, err = oneOf(v.Value, []string{"metric", "us"})
	case garden.SettingDates:
		v.Value, err = oneOf(v.Value, []string{"day-first", "month-first"})
	case garden.SettingMatters, garden.SettingConfidence:
		var x float64
		if x, err = readShare(r, v.Value); err == nil && !(x > 0 && x < 10) {
			err = invalid(quoted(v.Value)+" is no such share", "write it in per cent, such as 25 %")
		}
	case garden.SettingYearStart:
		if month, day, ok := strings.Cut(v.Value, "-"); !ok || len(month) != 2 || len(day) != 2 {
			err = invalid(quoted(v.Value)+" is no day of the year", "write month-day, such as 01-01")
		} else if _, e := civil.Parse("2001-" + v.Value); e != nil {
			err = hinted(e)
		}
	case garden.SettingCurrency:
		if v.Value = strings.ToUpper(v.Value); len(v.Value) != 3 {
			err = invalid(quoted(v.Value)+" is no currency", "write its three letters (ISO 4217), such as EUR")
		}
	case garden.SettingWalk:
		err = knownPlaces(r, v.Value)
	}
	if err != nil {
		return inField("value", err)
	}
	return nil
}
