package crop

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Kind is what a figure is of. Each kind has one unit, whatever the source printed.
type Kind string

// The kinds of figure.
const (
	Germination  Kind = "germination"            // %
	Seeds        Kind = "seeds"                  // 1/g
	SeedLife     Kind = "seed life"              // years
	ComesUp      Kind = "days to come up"        // d
	LabWarmth    Kind = "laboratory temperature" // °C, of the germination test
	FinalCount   Kind = "final count"            // d
	SowingDepth  Kind = "sowing depth"           // cm
	InRow        Kind = "in the row"             // cm
	BetweenRows  Kind = "between rows"           // cm
	Equidistant  Kind = "equidistant"            // cm
	SeedRate     Kind = "seed rate"              // g/m of row
	Days         Kind = "days"                   // d
	TransplantAt Kind = "transplant age"         // weeks

	GerminationMinimum Kind = "germination minimum"     // °C, soil
	GerminationOptimum Kind = "germination optimum"     // °C, soil
	GerminationMaximum Kind = "germination maximum"     // °C, soil
	SowingTemperature  Kind = "sowing soil temperature" // °C

	UsualYield    Kind = "yield"                // kg/m²
	RowYield      Kind = "row yield"            // kg/m of row
	PlantYield    Kind = "plant yield"          // kg
	NitrogenNeed  Kind = "nitrogen need"        // kg/ha at the yield of the same basis
	SamplingDepth Kind = "sampling depth"       // cm, for mineral nitrogen
	ResidueN      Kind = "residue nitrogen"     // kg/ha left to the next crop of the same year
	NitrogenIn    Kind = "nitrogen content"     // kg/t fresh, the harvested part
	NitrogenPlant Kind = "nitrogen whole plant" // kg/t fresh
	PhosphateIn   Kind = "phosphate content"    // kg P2O5/t
	PhosphateAll  Kind = "phosphate whole plant"
	PotashIn      Kind = "potash content" // kg K2O/t
	PotashAll     Kind = "potash whole plant"
	NitrogenMost  Kind = "nitrogen maximum" // kg/ha, a legal limit on farms
	LeastPH       Kind = "least soil pH"    // pH

	RootingDepth       Kind = "rooting depth"       // cm
	StorageTemperature Kind = "storage temperature" // °C
	StorageHumidity    Kind = "storage humidity"    // %
	StorageLife        Kind = "storage life"        // d
	RotationBreak      Kind = "rotation break"      // years, by disease
)

// Figure is one figure of one source, a value or a range, in the unit of its kind.
type Figure struct {
	Kind      Kind
	Low, High float64
	Unit      string
	Printed   string // as the source prints it, "2-3 in"
	Basis     string // "topped", "from planting out", the disease: figures of different basis do not compare
	Source    string // key in the register; "own" for the grower's
	Status    source.Status
}

// OwnSource is the source of figures that the grower has set.
const OwnSource = "own"

// Mid returns the middle of the range.
func (f Figure) Mid() float64 { return (f.Low + f.High) / 2 }

// String returns the figure with its unit, "5-7.5 cm".
func (f Figure) String() string {
	if f.Low == f.High {
		return short(f.Low) + " " + f.Unit
	}
	return short(f.Low) + "-" + short(f.High) + " " + f.Unit
}

// Cite returns the figure with its basis, source and mark, as it is shown beside a result.
func (f Figure) Cite() string {
	basis := ""
	if f.Basis != "" {
		basis = ", " + f.Basis
	}
	if f.Source == OwnSource {
		return fmt.Sprintf("%s%s (your own figure)", f, basis)
	}
	return fmt.Sprintf("%s%s (%s)", f, basis, f.Status.Behind(f.Source))
}

// short writes a number with three significant digits and never with a power of ten.
func short(x float64) string {
	if x == 0 {
		return "0"
	}
	return unit.Decimal(x, max(0, 2-int(math.Floor(math.Log10(math.Abs(x))))))
}

// Figures returns every figure of the kind: the grower's own first, then in the order of preference.
func (c Crop) Figures(kind Kind) []Figure {
	var out []Figure
	for _, f := range c.own {
		if f.Kind == kind {
			out = append(out, f)
		}
	}
	out = append(out, figures()[c.Name][kind]...)
	if len(out) == 0 && c.Like != "" && slices.Contains(lent, kind) {
		return lend(c.Like, kind)
	}
	return out
}

// lent are the kinds that a near relation may lend. What the law or a scale says of one crop says nothing of another.
var lent = []Kind{SowingDepth, InRow, BetweenRows, Equidistant, Days, TransplantAt, SeedLife, Seeds, RootingDepth,
	StorageTemperature, StorageHumidity, StorageLife}

// lend returns the figures of the relation, marked as derived and with its name in the basis.
func lend(name string, kind Kind) []Figure {
	var out []Figure
	for _, f := range figures()[name][kind] {
		f.Basis = strings.TrimSuffix("as for "+name+", "+f.Basis, ", ")
		f.Status = source.Derived
		out = append(out, f)
	}
	return out
}

// Figure returns the preferred figure of the kind; false if no source gives one.
func (c Crop) Figure(kind Kind) (Figure, bool) {
	all := c.Figures(kind)
	if len(all) == 0 {
		return Figure{}, false
	}
	return all[0], true
}

// On returns the preferred figure of the kind whose basis begins with the words; the grower's own figure without a basis holds for all.
func (c Crop) On(kind Kind, basis string) (Figure, bool) {
	for _, f := range c.Figures(kind) {
		if strings.HasPrefix(f.Basis, basis) || f.Source == OwnSource && f.Basis == "" {
			return f, true
		}
	}
	return Figure{}, false
}

// Bases returns the bases on which figures of the kind are given, in order of preference.
func (c Crop) Bases(kind Kind) []string {
	var out []string
	for _, f := range c.Figures(kind) {
		if b, _, _ := strings.Cut(f.Basis, "; "); !slices.Contains(out, b) {
			out = append(out, b)
		}
	}
	return out
}

// Range returns the lowest and highest of the published figures of the kind that stand on the same basis as the preferred one, and
// the keys of their sources. A grower's own figure replaces them.
func (c Crop) Range(kind Kind) (Figure, []string, bool) {
	all := c.Figures(kind)
	if len(all) == 0 {
		return Figure{}, nil, false
	}
	if all[0].Source == OwnSource {
		return all[0], []string{OwnSource}, true
	}
	out := all[0]
	out.Printed = ""
	var keys []string
	for _, f := range all {
		if f.Basis != out.Basis {
			continue
		}
		out.Low, out.High = min(out.Low, f.Low), max(out.High, f.High)
		if !slices.Contains(keys, f.Source) {
			keys = append(keys, f.Source)
		}
	}
	return out, keys, true
}

// With returns the crop with the grower's own figures, which go before the published ones and say so. Low and High are in the
// unit of the kind; a value is given by Low alone.
func (c Crop) With(own ...Figure) Crop {
	out := c
	out.own = slices.Clone(c.own)
	for _, f := range own {
		f.Source, f.Unit = OwnSource, units[f.Kind]
		if f.High == 0 {
			f.High = f.Low
		}
		out.own = append(out.own, f)
	}
	return out
}

// Depth is the class of rooting depth.
type Depth string

// The classes, by the deepest figure: to 18 inches, to 36 inches, deeper.
const (
	Shallow Depth = "shallow"
	Medium  Depth = "medium"
	Deep    Depth = "deep"
)

// Rooting returns the class of rooting depth and the figure that it rests on; false if no source gives one.
func (c Crop) Rooting() (Depth, Figure, bool) {
	f, ok := c.Figure(RootingDepth)
	switch {
	case !ok:
		return "", f, false
	case f.High <= 18*2.54+1e-9:
		return Shallow, f, true
	case f.High <= 36*2.54+1e-9:
		return Medium, f, true
	}
	return Deep, f, true
}
