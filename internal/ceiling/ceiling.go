// Package ceiling estimates the yield that light and warmth allow a crop at a place in a season, lowered by water. Published methods disagree,
// so every estimate is a range, several methods stand side by side with their spread, and figures borrowed from a relative say so. It does
// not know what was harvested, nor nutrients, pests or skill.
package ceiling

import (
	"fmt"
	"math"

	"fairplot/internal/climate"
	"fairplot/internal/crop"
	"fairplot/internal/source"
	"fairplot/internal/unit"
	"fairplot/internal/water"
)

// Range is a spread of masses per area, kg/m².
type Range struct{ Low, High unit.Yield }

// Mid returns the middle of the range on the scale of ratios.
func (r Range) Mid() unit.Yield {
	if r.Low <= 0 {
		return r.High / 2
	}
	return unit.Yield(math.Sqrt(float64(r.Low) * float64(r.High)))
}

// Times returns the range with both ends multiplied.
func (r Range) Times(low, high float64) Range {
	return Range{r.Low * unit.Yield(low), r.High * unit.Yield(high)}
}

// Share is a spread of a share, 0 to 1.
type Share struct{ Low, High float64 }

// Season is what a yield is asked for.
type Season struct {
	Crop   string // a crop's own name
	Place  climate.Place
	Days   []climate.Weather // from sowing or setting out to the last harvest, with temperatures
	Stages water.Stages      // the zero value takes the crop's first ones, scaled to the days
	Used   float64           // share of its full water use that the crop met; 0 leaves water out
}

// Estimate is what one method gives.
type Estimate struct {
	Method  string
	Biomass Range // dry matter of the whole plant
	Dry     Range // dry matter of the harvested part
	Fresh   Range // the harvested part as eaten
	Sources []string
	Status  source.Status
	Proxy   string // the crop whose figures were used, "" if its own
	Notes   []string
}

// Ceiling is every method's estimate and what they span.
type Ceiling struct {
	Crop         string
	Estimates    []Estimate
	Fresh        Range   // from the lowest to the highest of all methods, before water
	WithWater    Range   // the same lowered by the shortage of water
	Spread       float64 // middle of the highest method over that of the lowest
	HarvestIndex Share   // of the whole plant's dry matter
	DryMatter    float64 // of the harvested part
	DrySource    string
	Days         int
	Light        climate.Radiation // sum over the season
	Warmth       unit.Temperature  // mean of the season
	Marks        []source.Status   // of everything used
	Notes        []string
}

// Yield returns the estimates for the season, or an error that says which figure is missing.
func Yield(s Season) (Ceiling, error) {
	name, err := s.check()
	if err != nil {
		return Ceiling{}, err
	}
	if s.Stages.Total() == 0 {
		list := water.StagesOf(name)
		if len(list) == 0 {
			return Ceiling{}, &climate.Error{Field: "crop", Text: "no lengths of growth are known for " + name, Hint: "take a crop like it"}
		}
		s.Stages = list[0]
	}
	s.Stages = s.Stages.Scaled(len(s.Days))
	f, err := factsOf(name)
	if err != nil {
		return Ceiling{}, err
	}
	days, err := s.daily(f)
	if err != nil {
		return Ceiling{}, err
	}
	c := Ceiling{Crop: name, HarvestIndex: f.harvest, DryMatter: f.dryMatter, DrySource: f.drySource, Days: len(days), Notes: f.notes}
	for _, d := range days {
		c.Light += d.solar
		c.Warmth += unit.Temperature(d.mean / float64(len(days)))
	}
	c.Estimates = append(c.Estimates, f.byLight(days))
	if f.simple != nil {
		c.Estimates = append(c.Estimates, f.bySimple(days))
	}
	c.Estimates = append(c.Estimates, f.byZones(s, days), f.byClosedForm(days))
	c.span(s, f)
	return c, nil
}

// check returns the crop's own name.
func (s Season) check() (string, error) {
	c, ok := crop.Find(s.Crop)
	if !ok {
		return "", &climate.Error{Field: "crop", Text: fmt.Sprintf("%q is no crop that is known here", s.Crop), Hint: "name it as the list of crops does"}
	}
	if len(s.Days) < 14 {
		return "", &climate.Error{Field: "days", Text: fmt.Sprintf("a season of %d days is too short for an estimate", len(s.Days)), Hint: "give the days from sowing to the last harvest"}
	}
	return c.Name, nil
}

// span adds the products to the estimates and what they span.
func (c *Ceiling) span(s Season, f facts) {
	c.Fresh = Range{Low: unit.Yield(math.Inf(1))}
	lowest, highest := math.Inf(1), 0.0
	for i := range c.Estimates {
		e := &c.Estimates[i]
		e.Dry = e.Biomass.Times(f.harvest.Low, f.harvest.High)
		e.Fresh = Range{Fresh(e.Dry.Low, f.dryMatter), Fresh(e.Dry.High, f.dryMatter)}
		c.Fresh.Low, c.Fresh.High = min(c.Fresh.Low, e.Fresh.Low), max(c.Fresh.High, e.Fresh.High)
		lowest, highest = math.Min(lowest, float64(e.Fresh.Mid())), math.Max(highest, float64(e.Fresh.Mid()))
		c.Marks = append(c.Marks, e.Status)
	}
	if lowest > 0 {
		c.Spread = highest / lowest
	}
	c.WithWater = c.Fresh
	if s.Used > 0 {
		k := water.ResponseOf(c.Crop).YieldShare(s.Used)
		c.WithWater = c.Fresh.Times(k, k)
	}
	if simple := f.simple; simple != nil && simple.heatSum > 0 {
		if share := warmthOf(s.Days, simple.base) / simple.heatSum; share < 1 {
			c.Notes = append(c.Notes, fmt.Sprintf("the season has %.0f %% of the warmth that the crop takes to ripen by ZHAO2019: what must ripen yields less", 100*share))
		}
	}
}

func warmthOf(days []climate.Weather, base float64) float64 {
	sum, _ := climate.Warmth(climate.Average, days, climate.Limits{Lower: unit.Temperature(base), Upper: unit.Temperature(base) - 1})
	return sum
}
