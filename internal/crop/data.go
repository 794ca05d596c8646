package crop

import (
	"embed"
	"maps"
	"slices"
	"sync"

	"fairplot/internal/source"
)

//go:embed data/*.csv
var data embed.FS

// units gives each kind its one unit.
var units = map[Kind]string{
	Germination: "%", Seeds: "1/g", SeedLife: "years", FinalCount: "d", ComesUp: "d", LabWarmth: "°C", NitrogenMost: "kg/ha", LeastPH: "pH", SowingDepth: "cm", InRow: "cm", BetweenRows: "cm",
	Equidistant: "cm", SeedRate: "g/m", Days: "d", TransplantAt: "weeks", GerminationMinimum: "°C", GerminationOptimum: "°C",
	GerminationMaximum: "°C", SowingTemperature: "°C", UsualYield: "kg/m²", RowYield: "kg/m", PlantYield: "kg",
	NitrogenNeed: "kg/ha", SamplingDepth: "cm", ResidueN: "kg/ha", NitrogenIn: "kg/t", NitrogenPlant: "kg/t",
	PhosphateIn: "kg/t", PhosphateAll: "kg/t", PotashIn: "kg/t", PotashAll: "kg/t", RootingDepth: "cm",
	StorageTemperature: "°C", StorageHumidity: "%", StorageLife: "d", RotationBreak: "years",
}

// factors turn a printed unit into the unit of the kind; a unit without a factor is kept. °F is turned apart.
var factors = map[string]float64{
	"in": 2.54, "m": 100, "lb/100 ft": 0.45359237 / 30.48, "lb/10 ft": 0.45359237 / 3.048, "g/100 ft": 1 / 30.48,
	"1/oz": 1 / 28.349523125, "dt/ha": 0.01, "lb": 0.45359237,
}

type byKind map[Kind][]Figure

// figures reads the tables on the first call; a lookup by name alone never pays for them.
var figures = sync.OnceValue(func() map[string]byKind {
	out := map[string]byKind{}
	for _, name := range []string{"planting", "harvest", "keeping"} {
		for _, row := range source.Table(data, name) {
			f := figure(row)
			if out[row[0]] == nil {
				out[row[0]] = byKind{}
			}
			out[row[0]][f.Kind] = append(out[row[0]][f.Kind], f)
		}
	}
	return out
})

// figure turns one row (crop, what, low, high, unit, basis, source, status) into a figure.
func figure(row []string) Figure {
	low, high := source.Number(row[2]), source.Number(row[3])
	printed := row[2] + " " + row[4]
	if low != high {
		printed = row[2] + "-" + row[3] + " " + row[4]
	}
	kind := Kind(row[1])
	if row[4] == "F" {
		low, high = celsius(low), celsius(high)
	} else if k, ok := factors[row[4]]; ok {
		low, high = low*k, high*k
	}
	return Figure{kind, low, high, units[kind], printed, row[5], row[6], source.Status(row[7])}
}

func celsius(fahrenheit float64) float64 { return (fahrenheit - 32) / 1.8 }

// Kinds returns every kind of figure, by name.
func Kinds() []Kind { return slices.Sorted(maps.Keys(units)) }

// Unit returns the unit of the kind.
func (k Kind) Unit() string { return units[k] }
