package ceiling

import (
	"math"
	"sync"

	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// calories are cal/cm² in 1 MJ/m².
const calories = 100 / 4.1868 // AEZ ch. 5.1 prints 23.885; the international calorie

// Clouded returns the share of the day under clouds from the measured radiation and the photosynthetically active radiation of a clear day,
// both in cal/cm² a day.
func Clouded(clear, measured float64) float64 {
	return math.Min(1, math.Max(0, (clear-0.5*measured)/(0.8*clear))) // AEZ eq. F
}

// Gross returns the gross dry matter of a closed stand in kg/ha a day from the clouded share, the most that leaves assimilate (kg/ha an
// hour) and what the standard crop makes on overcast and clear days.
func Gross(clouded, leaves, overcast, clear float64) float64 {
	if leaves >= 20 {
		return clouded*(0.8+0.01*leaves)*overcast + (1-clouded)*(0.5+0.025*leaves)*clear // AEZ eq. bgm
	}
	return clouded*(0.5+0.025*leaves)*overcast + (1-clouded)*0.05*leaves*clear // AEZ eq. bgm
}

// Respiration returns Ct, what a plant breathes away a day at the mean temperature.
func Respiration(mean float64, legume bool) float64 {
	at30 := 0.0108
	if legume {
		at30 = 0.0283
	}
	return at30 * (0.0440 + 0.0019*mean + 0.0010*mean*mean) // AEZ eq. Ct
}

// Net returns the net dry matter of a season of so many days in kg/ha.
func Net(gross, leafShare, days, respiration float64) float64 {
	return 0.36 * gross * leafShare / (1/days + 0.25*respiration) // AEZ eq. Bn
}

// LeafShare returns what a stand of less than a leaf area of 5 makes of a closed one.
func LeafShare(lai float64) float64 {
	steps := [...]float64{0, 0.4, 0.6, 0.8, 0.9, 1.0} // AEZ eq. L
	if lai >= 5 {
		return 1
	}
	i := int(lai)
	return steps[i] + (lai-float64(i))*(steps[i+1]-steps[i])
}

// daytime holds the regressions of the mean temperature of daylight on minimum and maximum by month. The printed constant of June, 0.9955,
// stands out from the rest by 0.7 °C like a slip; the mean of May and July is used.
var daytime = [12][3]float64{
	{0.0278, 0.3301, 0.6716}, {0.0780, 0.3345, 0.6672}, {0.0770, 0.3392, 0.6642}, {0.2276, 0.3466, 0.6536}, {0.2494, 0.3399, 0.6576},
	{(0.2494 + 0.2624) / 2, 0.3335, 0.6628}, {0.2624, 0.3351, 0.6590}, {0.2860, 0.3297, 0.6612}, {0.3492, 0.3410, 0.6515},
	{0.1598, 0.3394, 0.6591}, {0.1156, 0.3476, 0.6571}, {-0.0617, 0.3462, 0.6649},
}

// Daytime returns the mean temperature of daylight in the month (1 to 12).
func Daytime(month int, tmin, tmax unit.Temperature) float64 {
	k := daytime[month-1]
	return k[0] + k[1]*float64(tmin) + k[2]*float64(tmax) // AEZ ch. 5.3
}

// monthOf returns the time of year in months, 0 in mid-January.
func monthOf(yearDay int) float64 { return float64(yearDay)/30.4375 - 0.5 }

type grid struct {
	latitudes []float64
	values    [][]float64
}

// grids are the tables of the standard crop: light of a clear day, and dry matter on clear and overcast days.
var grids = sync.OnceValue(func() map[string]grid {
	out := map[string]grid{}
	for _, name := range []string{"clear_light", "clear_crop", "overcast_crop"} {
		g := grid{}
		for _, r := range source.Table(data, name) {
			v := source.Numbers(r[:13])
			g.latitudes, g.values = append(g.latitudes, v[0]), append(g.values, v[1:])
		}
		out[name] = g
	}
	return out
})

// at reads the grid between its lines, for the middles of months. South of the equator the year is turned by six months; beyond 70° the
// values of 70° stand.
func (g grid) at(latitude, month float64) float64 {
	if latitude < 0 {
		latitude, month = -latitude, month+6
	}
	latitude = math.Min(latitude, g.latitudes[len(g.latitudes)-1])
	i := min(int(latitude/10), len(g.latitudes)-2)
	share := (latitude - g.latitudes[i]) / 10
	month = math.Mod(month+24, 12)
	m := int(month)
	along := func(line []float64) float64 { return line[m] + (month-float64(m))*(line[(m+1)%12]-line[m]) }
	return along(g.values[i]) + share*(along(g.values[i+1])-along(g.values[i]))
}

// standard returns the clear day's light (cal/cm²) and the standard crop's dry matter (kg/ha) on clear and overcast days.
func standard(latitude, month float64) (light, clear, overcast float64) {
	g := grids()
	return g["clear_light"].at(latitude, month), g["clear_crop"].at(latitude, month), g["overcast_crop"].at(latitude, month) // DEWIT1965
}

// leaves returns the most that leaves of the group assimilate at the temperature of daylight, as two libraries give it.
func leaves(group string, t float64) Share {
	column := map[string]int{"cool": 1, "warm": 3, "maize": 5}[group]
	table := rowsOfLeaves()
	line := func(c int) float64 {
		if t <= table[0][0] {
			return table[0][c] * math.Max(0, t/table[0][0])
		}
		for i := 1; i < len(table); i++ {
			if t <= table[i][0] {
				a, b := table[i-1], table[i]
				return a[c] + (t-a[0])/(b[0]-a[0])*(b[c]-a[c]) // AEZ ch. 5.2
			}
		}
		return 0
	}
	return Share{line(column), line(column + 1)}
}

var rowsOfLeaves = sync.OnceValue(func() [][]float64 {
	var out [][]float64
	for _, r := range source.Table(data, "leaves") {
		out = append(out, source.Numbers(r[:7]))
	}
	return out
})

// byZones is the method of the agro-ecological zones: the standard crop's dry matter, put right for clouds, temperature, leaf and breath.
func (f facts) byZones(s Season, days []day) Estimate {
	n := float64(len(days))
	var gross Share
	mean := 0.0
	for _, d := range days {
		light, clear, overcast := standard(d.latitude, d.month)
		clouds := 1.0
		if light > 0 {
			clouds = Clouded(light, float64(d.solar)*calories)
		}
		pm := leaves(f.group, d.daytime)
		gross.Low += Gross(clouds, pm.Low, overcast, clear) / n
		gross.High += Gross(clouds, pm.High, overcast, clear) / n
		mean += d.mean / n
	}
	ct := Respiration(mean, f.legume)
	const squareMetres = 1e-4 // kg/ha to kg/m²
	return Estimate{Method: "agro-ecological zones", Status: source.FromMemory, Proxy: f.proxy,
		Biomass: Range{unit.Yield(Net(gross.Low, LeafShare(math.Min(5, f.field.lai)), n, ct) * squareMetres), unit.Yield(Net(gross.High, 1, n, ct) * squareMetres)},
		Sources: []string{"AEZ", "DEWIT1965 tables"}, Notes: []string{"the crop's temperature group, " + f.group + ", is from memory; no published worked example of this method was found"}}
}

// Closed returns the dry matter of one day in kg/ha by the closed form: the radiation above the air in MJ/m², the share of sunshine, the
// mean temperature. maize is for C4 plants.
func Closed(above, sunshine, mean float64, maize bool) float64 {
	clear, overcast := closedC3(mean)
	if maize {
		clear, overcast = closedC4(mean)
	}
	clear, overcast = math.Max(0, clear), math.Max(0, overcast)
	return (107.2+8.604*above)*clear*sunshine + (31.7+5.234*above)*overcast*(1-sunshine) // FAO33 as given with BARBIERI1992
}

func closedC3(t float64) (clear, overcast float64) {
	overcast = -0.0425 + 0.035*t + 0.00325*t*t - 0.0000925*t*t*t // BARBIERI1992
	clear = 0.583 + 0.014*t + 0.0013*t*t - 0.000037*t*t*t        // BARBIERI1992
	return clear, overcast
}

func closedC4(t float64) (clear, overcast float64) {
	if t >= 16.5 {
		return -4.16 + 0.4325*t - 0.00725*t*t, -1.064 + 0.173*t - 0.0029*t*t // BARBIERI1992
	}
	return -9.32 + 0.865*t - 0.0145*t*t, -4.16 + 0.4325*t - 0.00725*t*t // BARBIERI1992
}

// ClosedLeaf returns the correction for leaf area of the closed form.
func ClosedLeaf(lai float64) float64 {
	if lai >= 5 {
		return 0.5
	}
	return 0.0093 + 0.185*lai - 0.0175*lai*lai // BARBIERI1992
}

// breath is the share left after respiration in the closed form.
func breath(mean float64) float64 {
	if mean < 20 {
		return 0.6 // BARBIERI1992
	}
	return 0.5 // BARBIERI1992
}

// byClosedForm is the method of FAO 33 in its closed form.
func (f facts) byClosedForm(days []day) Estimate {
	sum := 0.0
	for _, d := range days {
		sum += Closed(float64(d.above), d.sun, d.mean, f.group == "maize") * breath(d.mean)
	}
	const squareMetres = 1e-4
	return Estimate{Method: "FAO 33, closed form", Status: source.FromMemory, Proxy: f.proxy,
		Biomass: Range{unit.Yield(sum * ClosedLeaf(math.Min(5, f.field.lai)) * squareMetres), unit.Yield(sum * ClosedLeaf(5) * squareMetres)},
		Sources: []string{"FAO33", "BARBIERI1992"}, Notes: []string{"cool and warm crops share one curve; the crop's group is from memory"}}
}

// Fresh returns the fresh mass of a dry product with the share of dry matter.
func Fresh(dry unit.Yield, dryMatter float64) unit.Yield { return dry / unit.Yield(dryMatter) }
