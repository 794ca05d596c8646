package diary

import (
	"fmt"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

var measurementNoun = nounOf[garden.Measurement]{
	kind: garden.KindMeasurement,
	fields: []field[garden.Measurement]{
		entryDay(func(v *garden.Measurement) *civil.Date { return &v.Date }),
		plantingField("the crop that was measured", func(v *garden.Measurement) *garden.PlantingID { return &v.Planting }),
		measuredBed,
		brief(text("what", "what was measured", "root length", func(v *garden.Measurement) *string { return &v.What })),
		brief(figure("value", "the figure, its unit behind it", "28 cm")),
		text("unit", "the unit, if it is not behind the figure", "cm", func(v *garden.Measurement) *string { return &v.Unit }),
		count("n", "of how many, or the mean of how many", "20", func(v *garden.Measurement) *garden.Maybe[int] { return &v.N }),
		text("note", "anything else", "", func(v *garden.Measurement) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Measurement) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Measurement) string {
		of := ""
		if v.N.Known {
			of = fmt.Sprintf("of %d", v.N.Value)
		}
		return sentence(v.What, plain(v.Value), v.Unit, of, "in", sentence(w.Planting(v.Planting), w.Bed(v.Bed)), "on", w.Date(v.Date))
	},
}

var measuredBed = field[garden.Measurement]{
	Field: Field{Name: "bed", Says: "the bed that was measured, where it was no crop", Example: "terrace/4", Type: BedType, Brief: true},
	read: func(r *reading, v *garden.Measurement, s string) error {
		v.Bed = garden.BedID{}
		if s == "" {
			return nil
		}
		ids, err := r.beds(s)
		if err != nil || len(ids) == 0 {
			return err
		}
		if len(ids) > 1 {
			return invalid("a figure belongs to one bed", "note one for each")
		}
		v.Bed = ids[0]
		return nil
	},
	write: func(w *Writing, v garden.Measurement) string { return w.Bed(v.Bed) },
}

// figure reads a number with whatever unit stands behind it: nobody can know all that people measure.
func figure(name, says, example string) field[garden.Measurement] {
	return field[garden.Measurement]{
		Field: Field{Name: name, Says: says, Example: example, Type: Number},
		read: func(r *reading, v *garden.Measurement, s string) error {
			number := strings.TrimSpace(s)
			end := strings.IndexFunc(number, func(c rune) bool { return !strings.ContainsRune("0123456789.,-+", c) })
			if end > 0 {
				v.Unit = strings.TrimSpace(number[end:])
				number = number[:end]
			}
			x, err := readNumber(r, number)
			v.Value = x
			return err
		},
		write: func(_ *Writing, v garden.Measurement) string { return plain(v.Value) },
	}
}

var soilTestNoun = nounOf[garden.SoilTest]{
	kind: garden.KindSoilTest,
	fields: []field[garden.SoilTest]{
		entryDay(func(v *garden.SoilTest) *civil.Date { return &v.Date }),
		bedsField("the beds it was taken from", func(v *garden.SoilTest) *[]garden.BedID { return &v.Beds }),
		brief(gardenField("the garden, where it was taken from all of it", func(v *garden.SoilTest) *garden.GardenID { return &v.Garden })),
		brief(soilValues),
		length("depth", "how deep it was taken", "20 cm", func(v *garden.SoilTest) *garden.Maybe[unit.Length] { return &v.Depth }),
		count("cores", "how many cores were mixed", "12", func(v *garden.SoilTest) *garden.Maybe[int] { return &v.Cores }),
		text("laboratory", "who measured it", "own kit", func(v *garden.SoilTest) *string { return &v.Laboratory }),
		text("extractant", "what it was extracted with", "Mehlich 3", func(v *garden.SoilTest) *string { return &v.Extractant }),
		text("note", "anything else", "", func(v *garden.SoilTest) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.SoilTest) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.SoilTest) string {
		return sentence("soil of", sentence(w.Beds(v.Beds), w.named(garden.KindGarden, garden.ID(v.Garden)))+":", writeSoil(v.Values)+",", w.Date(v.Date))
	},
}

// soilValues reads "pH 6.4; P 32 mg/kg; organic matter 4.1 %".
var soilValues = field[garden.SoilTest]{
	Field: Field{Name: "values", Says: "what was found, apart by semicolons", Example: "pH 6.4; P 32 mg/kg; K 180 mg/kg", Type: Text},
	read: func(r *reading, v *garden.SoilTest, s string) error {
		v.Values = nil
		for _, one := range strings.Split(s, ";") {
			if strings.TrimSpace(one) == "" {
				continue
			}
			value, err := readSoilValue(r, one)
			if err != nil {
				return err
			}
			v.Values = append(v.Values, value)
		}
		return nil
	},
	write: func(_ *Writing, v garden.SoilTest) string { return writeSoil(v.Values) },
}

// readSoilValue takes the last word that is a number for the value: names such as "P2O5" or "B 12" have digits too.
func readSoilValue(r *reading, s string) (garden.SoilValue, error) {
	words := strings.Fields(s)
	for i := 1; i < len(words); i++ {
		x, err := readNumber(r, words[i])
		if err != nil {
			continue
		}
		return garden.SoilValue{What: strings.Join(words[:i], " "), Value: x, Unit: strings.Join(words[i+1:], " ")}, nil
	}
	return garden.SoilValue{}, invalid(quoted(clip(strings.TrimSpace(s)))+" is no soil value", "write name, number and unit with blanks between, such as P 32 mg/kg")
}

func writeSoil(values []garden.SoilValue) string {
	var out []string
	for _, v := range values {
		out = append(out, sentence(v.What, plain(v.Value), v.Unit))
	}
	return strings.Join(out, "; ")
}

var lossNoun = nounOf[garden.Loss]{
	kind: garden.KindLoss,
	fields: []field[garden.Loss]{
		entryDay(func(v *garden.Loss) *civil.Date { return &v.Date }),
		plantingField("the crop that lost plants or produce", func(v *garden.Loss) *garden.PlantingID { return &v.Planting }),
		brief(lostShare),
		brief(text("cause", "what did it", "slugs", func(v *garden.Loss) *string { return &v.Cause })),
		maybeYes("strikes-all", "could it strike every bed alike, whatever its method?", func(v *garden.Loss) *garden.Maybe[bool] { return &v.StrikesAll }),
		text("note", "anything else", "", func(v *garden.Loss) *string { return &v.Note }),
	},
	settle: func(r *reading, v *garden.Loss) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Loss) string {
		return sentence(w.share(v.Share), "of", w.Planting(v.Planting), "lost to", v.Cause, "on", w.Date(v.Date))
	},
}

var lostShare = field[garden.Loss]{
	Field: Field{Name: "share", Says: "how much of it was lost", Example: "30 %", Type: Number},
	read: func(r *reading, v *garden.Loss, s string) error {
		x, err := readShare(r, s)
		v.Share = x
		return err
	},
	write: func(w *Writing, v garden.Loss) string { return w.share(v.Share) },
}

var noteNoun = nounOf[garden.Note]{
	kind: garden.KindNote,
	fields: []field[garden.Note]{
		entryDay(func(v *garden.Note) *civil.Date { return &v.Date }),
		bedsField("the beds it is about", func(v *garden.Note) *[]garden.BedID { return &v.Beds }),
		gardenField("the garden it is about", func(v *garden.Note) *garden.GardenID { return &v.Garden }),
		plantingField("the crop it is about", func(v *garden.Note) *garden.PlantingID { return &v.Planting }),
		brief(text("text", "the note", "first slugs", func(v *garden.Note) *string { return &v.Text })),
		pictures,
	},
	settle: func(r *reading, v *garden.Note) error { return dated(r, &v.Date) },
	says: func(w *Writing, v garden.Note) string {
		return sentence("note of", w.Date(v.Date)+":", clip(v.Text))
	},
}

var pictures = field[garden.Note]{
	Field: Field{Name: "pictures", Says: "ids of pictures", Example: "0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f50", Type: Text},
	read: func(_ *reading, v *garden.Note, s string) error {
		v.Pictures = nil
		for _, one := range strings.FieldsFunc(s, func(c rune) bool { return c == ',' || c == ' ' }) {
			id, err := garden.ParseID(one)
			if err != nil {
				return invalid(err.Error(), "take it from the list of pictures")
			}
			v.Pictures = append(v.Pictures, garden.PictureID(id))
		}
		return nil
	},
	write: func(_ *Writing, v garden.Note) string {
		var out []string
		for _, id := range v.Pictures {
			out = append(out, id.String())
		}
		return strings.Join(out, ", ")
	},
}

var pictureNoun = nounOf[garden.Picture]{
	kind: garden.KindPicture,
	fields: []field[garden.Picture]{
		brief(day("date", "the day it was taken", "2026-07-01", func(v *garden.Picture) *civil.Date { return &v.Date })),
		text("hash", "SHA-256 of its bytes", "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", func(v *garden.Picture) *string { return &v.Hash }),
		brief(text("type", "image/jpeg, image/png or image/webp", "image/jpeg", func(v *garden.Picture) *string { return &v.Type })),
		brief(plainInt("width", "its width in dots", "1600", func(v *garden.Picture) *int { return &v.Width })),
		brief(plainInt("height", "its height in dots", "1200", func(v *garden.Picture) *int { return &v.Height })),
		plainInt("size", "its bytes", "412000", func(v *garden.Picture) *int { return &v.Size }),
	},
	says: func(w *Writing, v garden.Picture) string { return sentence("picture of", w.Date(v.Date)) },
}

func plainInt[T garden.Record](name, says, example string, at func(*T) *int) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Number},
		read: func(_ *reading, v *T, s string) error {
			*at(v) = 0
			if s == "" {
				return nil
			}
			n, err := whole(s)
			*at(v) = n
			return err
		},
		write: func(_ *Writing, v T) string {
			if n := *at(&v); n != 0 {
				return fmt.Sprint(n)
			}
			return ""
		},
	}
}

var weatherNoun = nounOf[garden.WeatherDay]{
	kind: garden.KindWeather,
	fields: []field[garden.WeatherDay]{
		entryDay(func(v *garden.WeatherDay) *civil.Date { return &v.Date }),
		brief(siteField("the place; the only one unless given", func(v *garden.WeatherDay) *garden.SiteID { return &v.Site })),
		tunnelField,
		brief(degrees("min", "the lowest temperature", "4.5 °C", func(v *garden.WeatherDay) *garden.Maybe[unit.Temperature] { return &v.Min })),
		brief(degrees("max", "the highest temperature", "17 °C", func(v *garden.WeatherDay) *garden.Maybe[unit.Temperature] { return &v.Max })),
		brief(length("rain", "rain of the day", "6 mm", func(v *garden.WeatherDay) *garden.Maybe[unit.Length] { return &v.Rain })),
		maybe(Field{Name: "sunshine", Says: "hours of sunshine", Example: "7h30", Type: Quantity, Unit: "min"},
			func(v *garden.WeatherDay) *garden.Maybe[unit.Time] { return &v.Sunshine }, readTime, (*Writing).time),
		decimal("radiation", "radiation of the day in MJ/m2", "18.2", func(v *garden.WeatherDay) *garden.Maybe[float64] { return &v.Radiation }),
		decimal("wind", "mean wind in m/s", "2.1", func(v *garden.WeatherDay) *garden.Maybe[float64] { return &v.Wind }),
		share("humidity", "mean relative humidity", "78 %", func(v *garden.WeatherDay) *garden.Maybe[float64] { return &v.Humidity }),
		yes("normal", "made from a monthly normal, not observed", func(v *garden.WeatherDay) *bool { return &v.Normal }),
		text("source", "where the figures come from", "own gauge", func(v *garden.WeatherDay) *string { return &v.Source }),
	},
	settle: settleWeather,
	says: func(w *Writing, v garden.WeatherDay) string {
		rain := ""
		if v.Rain.Known {
			rain = w.length(v.Rain.Value) + " of rain"
		}
		temp := ""
		if v.Min.Known && v.Max.Known {
			temp = w.temperature(v.Min.Value) + " to " + w.temperature(v.Max.Value)
		}
		return sentence("weather of", w.Date(v.Date)+":", temp, rain)
	},
}

var tunnelField = func() field[garden.WeatherDay] {
	f := gardenField("the garden under whose cover it was measured", func(v *garden.WeatherDay) *garden.GardenID { return &v.Tunnel })
	f.Name = "tunnel"
	return f
}()

func degrees(name, says, example string, at func(*garden.WeatherDay) *garden.Maybe[unit.Temperature]) field[garden.WeatherDay] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Quantity, Unit: "°C"}, at, readTemperature, (*Writing).temperature)
}

func settleWeather(r *reading, v *garden.WeatherDay) error {
	if v.Site.IsZero() {
		sites := r.Records.All(garden.KindSite)
		if len(sites) != 1 {
			return &garden.Error{Kind: garden.Invalid, Field: "site", Text: "it does not say of which place", Hint: word.Hint("", r.Records.Names(garden.KindSite))}
		}
		v.Site = garden.SiteID(sites[0])
	}
	return dated(r, &v.Date)
}
