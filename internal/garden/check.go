package garden

import (
	"fmt"
	"math"
	"strings"

	"fairplot/internal/word"
)

// Check asks for a name and for angles on the globe.
func (r Site) Check() error {
	return first(named("site", r.Name),
		within("latitude", r.Latitude, -90, 90, "degrees, north positive"),
		within("longitude", r.Longitude, -180, 180, "degrees, east positive"),
		r.LastFrost.check("last frost"), r.FirstFrost.check("first frost"))
}

func (m MonthDay) check(field string) error {
	if m == (MonthDay{}) {
		return nil
	}
	if m.Month < 1 || m.Month > 12 || m.Day < 1 || m.Day > 31 {
		return invalid(field, fmt.Sprintf("there is no day %d of month %d", m.Day, m.Month), "write it as 04-25")
	}
	return nil
}

// Check asks for a name and an area above zero.
func (r Garden) Check() error {
	return first(named("garden", r.Name), positive("ground", r.Ground))
}

// Check asks for a name, its garden, and sides above zero.
func (r Bed) Check() error {
	return first(named("bed", r.Name), required("garden", r.Garden.IsZero()),
		positive("length", r.Length), positive("width", r.Width), r.checkOutline())
}

func (r Bed) checkOutline() error {
	if len(r.Outline) == 0 {
		return nil
	}
	if len(r.Outline) < 3 || r.Area().Or(0) == 0 {
		return invalid("outline", "these corners enclose no ground", "give at least three corners in order round the bed")
	}
	return nil
}

// Check asks for a name.
func (r Crop) Check() error {
	return first(named("crop", r.Name), within("edible", r.Edible, 0, 1, "a share"))
}

// Check asks for a name and its crop.
func (r Variety) Check() error {
	return first(named("variety", r.Name), required("crop", r.Crop == ""))
}

// Check asks for bed and crop and for numbers above zero.
func (r Planting) Check() error {
	err := first(required("bed", r.Bed.IsZero()), required("crop", strings.TrimSpace(r.Crop) == ""),
		oneOf("start", r.Start, "", Sown, SetOut),
		oneOf("arrangement", r.Arrangement, "", InRows, Square, Triangular, Broadcast),
		oneOf("weighed", r.Weighed, NotAskedYet, AllWeighed, SomeMissed, DontKnow),
		positive("in-row", r.InRow), positive("between-rows", r.BetweenRows), positive("plants", r.Plants), r.Part.check())
	if err != nil {
		return err
	}
	for _, s := range r.Stands {
		if s.Plants.Known && s.Plants.Value < 0 {
			return invalid("plants", fmt.Sprintf("%d plants cannot stand", s.Plants.Value), "give a count of 0 or more")
		}
	}
	return nil
}

func (p Part) check() error {
	if p.Share.Known && !(p.Share.Value > 0 && p.Share.Value <= 1) {
		return invalid("share", fmt.Sprintf("%g is no share of a bed", p.Share.Value), "give a part between 0 and 1, or per cent")
	}
	if p.From.Known && p.To.Known && p.To.Value <= p.From.Value {
		return invalid("part", "the part ends before it begins", "give from and to along the bed, the smaller first")
	}
	return nil
}

// Check asks for a day and for a weight, a count or "looked, nothing", none of them below zero.
func (r Harvest) Check() error {
	err := first(required("date", r.Date.IsZero()), required("planting or crop", r.Planting.IsZero() && r.Crop == ""),
		notNegative("mass", r.Mass), notNegative("gross", r.Gross), notNegative("tare", r.Tare),
		notNegative("count", r.Count), positive("sample count", r.SampleCount),
		oneOf("state", r.State, "", AsLifted, Topped, Trimmed, Shelled, Cured, Dried),
		oneOf("weighing", r.Weighing, NotRecorded, ByScale, ByEye, BySample),
		oneOf("edge", r.Edge, EdgeUnknown, EdgeIn, EdgeOut),
		oneOf("use", r.Use, "", Eaten, Given, Sold, Stored, Animals, ToHeap))
	switch {
	case err != nil:
		return err
	case r.Gross.Known && r.Tare.Known && r.Tare.Value > r.Gross.Value:
		return invalid("tare", "the empty basket weighs more than the full one", "is gross swapped with tare?")
	case !r.Mass.Known && !r.Gross.Known && !r.Count.Known && !r.Nothing:
		return invalid("mass", "there is no weight and no count", "give one, or say that you looked and there was nothing")
	}
	return nil
}

// Check asks for a task, a day and a time above zero.
func (r Work) Check() error {
	if !(r.Time > 0) {
		return invalid("time", "work takes time", "give minutes or hours, such as 45 min or 1h30")
	}
	return first(required("task", r.Task == ""), required("date", r.Date.IsZero()),
		oneOf("place", r.Place, "", SeedBench, Heap, Paths))
}

// Check asks for beds, a known way of working the ground and a day.
func (r Cultivation) Check() error {
	return first(required("beds", len(r.Beds) == 0), required("date", r.Date.IsZero()),
		oneOf("how", r.How, Undisturbed, Raked, Hoed, Forked, SingleDug, Tilled, Broadforked, DoubleDug),
		notNegative("depth", r.Depth), r.Part.check())
}

// Check asks for beds, material, a day and an amount above zero.
func (r Amendment) Check() error {
	if !r.Volume.Known && !r.Mass.Known {
		return invalid("amount", "there is no amount", "give a volume, a mass or a number of your loads")
	}
	return first(required("beds", len(r.Beds) == 0), named("material", r.Material), required("date", r.Date.IsZero()),
		positive("volume", r.Volume), positive("mass", r.Mass), notNegative("depth", r.Depth),
		oneOf("placement", r.Placement, "", OnSurface, MixedIn, InTrench), r.Part.check())
}

// Check asks for beds, a day and an amount above zero.
func (r Watering) Check() error {
	if r.Volume.Known == r.Depth.Known {
		return invalid("amount", "give the water either as a volume or as a depth", "such as 40 L or 8 mm")
	}
	return first(required("beds", len(r.Beds) == 0), required("date", r.Date.IsZero()),
		positive("volume", r.Volume), positive("depth", r.Depth))
}

// Check asks for beds, what it is, and that it came off after it went on.
func (r Cover) Check() error {
	if !r.Off.IsZero() && r.Off.Before(r.On) {
		return invalid("off", "the cover came off before it went on", "are the two dates swapped?")
	}
	return first(required("beds", len(r.Beds) == 0), named("what", r.What), required("on", r.On.IsZero()))
}

// Check asks for a product and a day.
func (r Treatment) Check() error {
	return first(named("product", r.Product), required("date", r.Date.IsZero()), notNegative("days to harvest", r.DaysToHarvest))
}

// Check asks for what was measured, on what, and a finite value.
func (r Measurement) Check() error {
	return first(named("what", r.What), required("planting or bed", r.Planting.IsZero() && r.Bed.IsZero()),
		required("date", r.Date.IsZero()), finite("value", r.Value), positive("n", r.N))
}

// Check asks for where, when and at least one finite value.
func (r SoilTest) Check() error {
	for _, v := range r.Values {
		if err := first(named("values", v.What), finite("values", v.Value)); err != nil {
			return err
		}
	}
	return first(required("beds or garden", len(r.Beds) == 0 && r.Garden.IsZero()), required("date", r.Date.IsZero()),
		required("values", len(r.Values) == 0), positive("depth", r.Depth), positive("cores", r.Cores))
}

// Check asks for a share between 0 and 1 and a cause.
func (r Loss) Check() error {
	return first(required("planting", r.Planting.IsZero()), named("cause", r.Cause), required("date", r.Date.IsZero()),
		within("share", Some(r.Share), 0, 1, "a share"))
}

// Check asks for text or a picture.
func (r Note) Check() error {
	return first(required("text", strings.TrimSpace(r.Text) == "" && len(r.Pictures) == 0), required("date", r.Date.IsZero()))
}

// Check asks for the hash of the bytes and one of the three types that browsers show.
func (r Picture) Check() error {
	return first(required("hash", len(r.Hash) != 64), oneOf("type", r.Type, "image/jpeg", "image/png", "image/webp"))
}

// Check asks for a site and a day, and for values that weather can have.
func (r WeatherDay) Check() error {
	if r.Min.Known && r.Max.Known && r.Max.Value < r.Min.Value {
		return invalid("max", "the maximum lies below the minimum", "are the two columns swapped?")
	}
	return first(required("site", r.Site.IsZero()), required("date", r.Date.IsZero()),
		notNegative("rain", r.Rain), notNegative("wind", r.Wind), notNegative("radiation", r.Radiation),
		within("humidity", r.Humidity, 0, 1, "a share, such as 80 %"), within("sunshine", r.Sunshine, 0, 24*3600, "at most 24 hours"))
}

// Check asks for a name and shares between 0 and 1.
func (r Material) Check() error {
	return first(named("material", r.Name), positive("density", r.Density), within("dry matter", r.DryMatter, 0, 1, "a share"),
		within("n", r.N, 0, 1, "a share"), within("p2o5", r.P2O5, 0, 1, "a share"), within("k2o", r.K2O, 0, 1, "a share"),
		positive("cn", r.CN))
}

// Check asks for a name and the volume or mass of one load.
func (r Measure) Check() error {
	return first(named("measure", r.Name), required("volume or mass", !r.Volume.Known && !r.Mass.Known),
		positive("volume", r.Volume), positive("mass", r.Mass))
}

// Check asks for a name, factors with two or more levels, and plots that have a level of each.
func (r Trial) Check() error {
	for _, f := range r.Factors {
		if len(f.Levels) < 2 {
			return invalid("factors", fmt.Sprintf("%s has fewer than two levels", f.Name), "a trial compares at least two ways")
		}
	}
	for _, p := range r.Plots {
		if len(p.Levels) != len(r.Factors) {
			return invalid("plots", fmt.Sprintf("trial plot %s does not have one level of each factor", p.Name), "draw the layout again")
		}
	}
	return first(named("trial", r.Name), required("factors", len(r.Factors) == 0), within("matters", Some(r.Matters), 0, 10, "a share such as 25 %"))
}

// Check asks for a name.
func (r Person) Check() error { return named("person", r.Name) }

// Check asks for a name.
func (r Device) Check() error { return named("device", r.Name) }

// Check asks for a known setting.
func (r Setting) Check() error {
	return oneOf("setting", r.Name, SettingUnits, SettingDates, SettingMatters, SettingYearStart, SettingCurrency, SettingConfidence, SettingWalk)
}

func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func named(field, name string) error {
	if strings.TrimSpace(name) == "" {
		return invalid(field, "it has no name", "give it one")
	}
	if strings.Contains(name, "/") || strings.ContainsFunc(name, word.Unseen) {
		return invalid(field, fmt.Sprintf("%q has a slash, a line break or a letter that is not seen in it", name), "a name is one line of plain text without /")
	}
	return nil
}

func required(field string, missing bool) error {
	if missing {
		return invalid(field, "it is missing", "say which")
	}
	return nil
}

type number interface{ ~float64 | ~int }

func positive[T number](field string, v Maybe[T]) error {
	if v.Known && (!(float64(v.Value) > 0) || math.IsInf(float64(v.Value), 0)) {
		return invalid(field, fmt.Sprintf("%v is not above zero", v.Value), "leave it out if it is not known")
	}
	return nil
}

func notNegative[T number](field string, v Maybe[T]) error {
	if v.Known && (!(float64(v.Value) >= 0) || math.IsInf(float64(v.Value), 0)) {
		return invalid(field, fmt.Sprintf("%v is below zero", v.Value), "give 0 or more")
	}
	return nil
}

func within[T number](field string, v Maybe[T], low, high float64, says string) error {
	if v.Known && !(float64(v.Value) >= low && float64(v.Value) <= high) {
		return invalid(field, fmt.Sprintf("%v lies outside %g to %g", v.Value, low, high), "it is "+says)
	}
	return nil
}

func finite(field string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return invalid(field, "it is no number", "give a plain number")
	}
	return nil
}

func oneOf[T ~string](field string, v T, words ...T) error {
	for _, w := range words {
		if v == w {
			return nil
		}
	}
	var known []string
	for _, w := range words {
		if w != "" {
			known = append(known, string(w))
		}
	}
	return invalid(field, fmt.Sprintf("%q is not one of the words for it", v), "use "+strings.Join(known, ", "))
}
