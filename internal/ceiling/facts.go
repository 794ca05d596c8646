package ceiling

import (
	"embed"
	"math"
	"sync"

	"fairplot/internal/climate"
	"fairplot/internal/crop"
	"fairplot/internal/source"
)

//go:embed data/*.csv
var data embed.FS

// field is a crop's line in the plant parameters of a river-basin model, made for rain-fed fields.
type field struct {
	rue           float64 // g dry matter per MJ of photosynthetically active radiation caught
	hi            float64 // of the dry matter above ground; above 1 for roots
	lai           float64 // most leaf area per ground
	extinction    float64
	optimum, base float64 // °C
	as            string  // whose line it is, if not the crop's own
}

// simple is a crop's line in the parameters of the SIMPLE model.
type simple struct {
	heatSum, hi, base, optimum, rue, hot, tooHot, cover float64
	of                                                  string
}

// kin is a crop's group and the crop that stands in for it.
type kin struct{ group, as string }

var kins = sync.OnceValue(func() map[string]kin {
	out := map[string]kin{}
	for _, r := range source.Table(data, "crops") {
		out[r[0]] = kin{r[1], r[3]}
	}
	return out
})

var fields = sync.OnceValue(func() map[string]field {
	out := map[string]field{}
	for _, r := range source.Table(data, "field") {
		v := source.Numbers(r[1:7])
		out[r[0]] = field{v[0] / 10, v[1], v[2], v[3], v[4], v[5], r[7]}
	}
	return out
})

var simples = sync.OnceValue(func() map[string]simple {
	out := map[string]simple{}
	for _, r := range source.Table(data, "simple") {
		v := source.Numbers(r[1:9])
		out[r[0]] = simple{v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], r[0]}
	}
	return out
})

// facts is everything the methods need about a crop.
type facts struct {
	name      string
	field     field
	simple    *simple
	group     string
	legume    bool
	proxy     string
	harvest   Share
	dryMatter float64
	drySource string
	notes     []string
}

// factsOf gathers a crop's figures, or those of its stand-in.
func factsOf(name string) (facts, error) {
	c, _ := crop.Find(name)
	k, ok := kins()[name]
	if !ok {
		return facts{}, &climate.Error{Field: "crop", Text: "no figures of growth are known for " + name, Hint: "take a crop like it"}
	}
	f := facts{name: name, group: k.group, legume: c.Family == "Fabaceae", proxy: k.as}
	of := name
	if k.as != "" {
		of = k.as
		f.notes = append(f.notes, "proxy: growth figures of "+k.as+" stand in for those of "+name)
	}
	f.field, ok = fields()[of]
	if !ok {
		return facts{}, &climate.Error{Field: "crop", Text: "no figures of growth are known for " + of, Hint: "take a crop like it"}
	}
	if f.field.as != "" {
		f.proxy = f.field.as
		f.notes = append(f.notes, "proxy: growth figures of "+f.field.as+" stand in for those of "+name)
	}
	if s, ok := simples()[of]; ok {
		f.simple = &s
	}
	f.harvest = f.indices()
	return f, f.dry(c)
}

// indices returns the spread of the harvested share of the whole plant's dry matter.
func (f facts) indices() Share {
	low, high := f.field.shares()
	if f.simple != nil {
		low, high = math.Min(low, f.simple.hi), math.Max(high, f.simple.hi)
	}
	return Share{low, high}
}

// topShare is the part of a ripe plant's dry matter that is above ground in the field figures.
const topShare = 0.8 // SWAT-HI from memory

// shares returns the harvested share of the whole plant by the field's harvest index.
func (f field) shares() (low, high float64) {
	if f.hi > 1 {
		s := RootShare(f.hi)
		return s, s
	}
	return topShare * f.hi, f.hi
}

// RootShare returns the share of the whole plant that a root crop's harvest index above 1 stands for.
func RootShare(hi float64) float64 { return 1 - 1/(1+hi) } // SWAT-HI from memory

// dry finds the dry matter of the edible part.
func (f *facts) dry(c crop.Crop) error {
	for _, r := range source.Table(data, "dry") {
		if r[0] == c.Name {
			f.dryMatter, f.drySource = source.Numbers(r[1:2])[0]/100, r[2]
			return nil
		}
	}
	food, ok := c.Food()
	if !ok {
		k, known := crop.Find(f.proxy)
		if !known {
			return &climate.Error{Field: "crop", Text: "the food table has no dry matter of " + c.Name, Hint: "take a crop like it"}
		}
		if food, ok = k.Food(); !ok {
			return &climate.Error{Field: "crop", Text: "the food table has no dry matter of " + f.proxy, Hint: "take a crop like it"}
		}
		f.notes = append(f.notes, "proxy: dry matter of "+k.Name)
	}
	f.dryMatter, f.drySource = food.DryMatter(), food.Source
	return nil
}
