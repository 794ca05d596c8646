package reckon

import (
	"fmt"
	"math"

	"fairplot/internal/climate"
	"fairplot/internal/unit"
	"fairplot/internal/water"
)

func waterCalculators() []Calculator {
	return []Calculator{waterNeed(), watering(), soilWater(), waterShortage(), saltLoss()}
}

// cautionWatering goes with every amount of water for food crops.
const cautionWatering = "Butt water and flood water carry germs: keep them off what is eaten raw, and never use flood water. A can of 10 L weighs 10 kg."

var (
	inET0 = Input{Name: "evaporation", Says: "reference evapotranspiration, mm a day (reckon evaporation works it out)", Kind: Length, Unit: "mm", Low: 0, High: 20}
	inBed = Input{Name: "area", Says: "area of the bed", Kind: Area, Unit: "m2", Default: "1", Low: 0.01, High: 1e5}
)

func textureInput() Input {
	var words []string
	for _, t := range water.Textures() {
		words = append(words, t.Name)
	}
	return Input{Name: "soil", Says: "texture of the soil", Kind: Word, Words: words, Default: "loam"}
}

// coefficientsOf returns the coefficients of the crop asked for and the cautions that go with them.
func coefficientsOf(v Values) (water.Coefficients, []string, error) {
	c, err := cropOf(v)
	if err != nil {
		return water.Coefficients{}, nil, err
	}
	k, ok := water.Of(c.Name)
	if !ok {
		return k, nil, refuse("crop", "no crop coefficients are known for "+c.Name, "take a crop like it")
	}
	var cautions []string
	if k.Proxy != "" {
		cautions = append(cautions, "Proxy: "+k.Basis+" stand in for those of "+c.Name+".")
	}
	return k, append(cautions, cautionWatering), nil
}

func waterNeed() Calculator {
	return Calculator{
		Name: "water-need", Subject: "water", Says: "what a crop uses a day, and litres for the bed",
		Inputs: []Input{
			cropInput(false), inET0,
			{Name: "stage", Says: "how far the crop is", Kind: Word, Words: []string{"start", "full growth", "end"}, Default: "full growth"},
			inBed,
			{Name: "rain", Says: "rain of a week, mm; 100 mm a day is a flood", Kind: Length, Unit: "mm", Default: "0", Low: 0, High: 700},
			{Name: "mulch", Says: "share of the ground under straw, leaves or compost", Kind: Share, Default: "0 %", Low: 0, High: 1},
			{Name: "wind", Says: "mean wind at 2 m, m/s", Kind: Number, Unit: "m/s", Default: "2", Low: 0, High: 30},
			{Name: "humidity", Says: "lowest relative humidity of the day", Kind: Share, Default: "45 %", Low: 0.03, High: 1},
		},
		Example: map[string]string{"crop": "potato", "evaporation": "4.5 mm", "area": "5 m2", "rain": "8 mm"},
		Run:     runWaterNeed,
	}
}

func runWaterNeed(v Values) (Answer, error) {
	k, cautions, err := coefficientsOf(v)
	if err != nil {
		return Answer{}, err
	}
	var p paper
	adjusted := water.Mulch{Organic: v.Num("mulch")}.Under(k.Adjusted(v.Num("wind"), v.Num("humidity")))
	kc := map[string]float64{"start": adjusted.KcInitial, "full growth": adjusted.KcMiddle, "end": adjusted.KcEnd}[v.Word("stage")]
	p.line("Kc of %s as tabulated: %v at the start, %v in full growth, %v at the end", k.Crop, k.KcInitial, k.KcMiddle, k.KcEnd)
	p.line("put right for wind %v m/s, lowest humidity %s and mulch %s: Kc = %v", v.Num("wind"), v.Said("humidity"), v.Said("mulch"), kc)
	use := kc * v.Num("evaporation")
	area := float64(v.Area("area"))
	p.line("use = Kc × ET0 = %v × %v mm = %v mm a day", kc, v.Num("evaporation"), use)
	p.line("litres = %v mm × %v m² = %v L a day (1 mm on 1 m² is 1 L)", use, area, use*area)
	week := math.Max(0, 7*use-v.Num("rain"))
	p.line("a week: 7 × %v - %v mm rain = %v mm, %v L", use, v.Num("rain"), week, week*area)
	if v.Num("rain") > 250 {
		cautions = append(cautions, fmt.Sprintf("%s mm of rain in a week is a flood: most of it runs through or off. Is the figure right?", short(v.Num("rain"))))
	}
	return Answer{
		Results: []Result{
			result("use", use, "mm", "what the crop uses a day with water enough"),
			result("litres", use*area, "L", "for the bed, a day"),
			result("week", week, "mm", "to give in a week, rain taken off"),
			result("week-litres", week*area, "L", "the same for the bed"),
		},
		Steps: p.lines, Source: []string{k.Source + " eq. 58 and 62, tables 12 and 17"}, Status: worst(k.Status, k.KcbStatus), Cautions: cautions,
	}, nil
}

func watering() Calculator {
	return Calculator{
		Name: "watering", Subject: "water", Says: "whether a bed needs water now, how much, and how long it can wait",
		Inputs: []Input{
			cropInput(false), textureInput(),
			{Name: "dry-days", Says: "days since the soil was last wet through", Kind: Time, Unit: "d", Low: 0, High: 120},
			inET0,
			{Name: "rain", Says: "rain since then", Kind: Length, Unit: "mm", Default: "0", Low: 0, High: 400},
			{Name: "stage", Says: "how far the crop is", Kind: Word, Words: []string{"start", "full growth", "end"}, Default: "full growth"},
			{Name: "roots", Says: "depth of the roots; the smaller figure of the table if not given", Kind: Length, Unit: "m", Optional: true, Low: 0.05, High: 2.5},
			inBed,
		},
		Example: map[string]string{"crop": "tomato", "soil": "sandy loam", "dry-days": "6", "evaporation": "5", "area": "3 m2"},
		Run:     runWatering,
	}
}

func runWatering(v Values) (Answer, error) {
	k, cautions, err := coefficientsOf(v)
	if err != nil {
		return Answer{}, err
	}
	texture, _ := water.TextureOf(v.Word("soil"))
	soil := texture.Soil()
	roots := rootsFor(v, k)
	kc := map[string]float64{"start": k.KcInitial, "full growth": k.KcMiddle, "end": k.KcEnd}[v.Word("stage")]
	use := climate.MM(kc * v.Num("evaporation"))
	held := soil.Held(roots)
	free := water.Ready(k.P, use)
	missing := min(held, max(0, use*climate.MM(v.Num("dry-days"))-climate.MM(v.Num("rain"))))
	var p paper
	p.line("held for the roots TAW = 1000 (%v - %v) × %v m = %v mm", soil.FieldCapacity, soil.WiltingPoint, float64(roots), float64(held))
	p.line("free share p = %v + 0.04 (5 - %v) = %v; free RAW = %v mm", k.P, float64(use), free, free*float64(held))
	p.line("use = Kc %v × %v mm = %v mm a day; missing after %v days less %v mm rain = %v mm", kc, v.Num("evaporation"), float64(use), v.Num("dry-days"), v.Num("rain"), float64(missing))
	stress := water.Stress(missing, held, free)
	wait := 0.0
	if left := climate.MM(free)*held - missing; left > 0 && use > 0 {
		wait = math.Floor(float64(left / use))
	}
	says := "days it can wait if it stays dry"
	if wait == 0 {
		says = "it is time to water: the crop runs short today or tomorrow"
	}
	p.line("how well it still drinks Ks = %v; days left = (RAW - missing)/use = %v", stress, wait)
	p.line("to fill up: %v mm × %v m² = %v L", float64(missing), float64(v.Area("area")), float64(missing)*float64(v.Area("area")))
	return Answer{
		Results: []Result{
			result("wait", wait, "d", says),
			result("depth", float64(missing), "mm", "to fill the root zone up"),
			result("litres", float64(missing.Over(v.Area("area"))/unit.Litre), "L", "the same for the bed"),
			result("drinks", 100*stress, "%", "how much of its full use the crop still reaches"),
		},
		Steps: p.lines, Source: []string{"FAO56 eq. 82-84, tables 19 and 22"}, Status: worst(k.Status, soil.Status), Cautions: cautions,
	}, nil
}

func rootsFor(v Values, k water.Coefficients) unit.Length {
	switch {
	case v.Given("roots"):
		return v.Length("roots")
	case v.Word("stage") == "start":
		return 0.15
	}
	return k.RootLow
}

func soilWater() Calculator {
	return Calculator{
		Name: "soil-water", Subject: "water", Says: "how much water a soil holds for roots of a depth",
		Inputs:  []Input{textureInput(), {Name: "depth", Says: "depth of the roots", Kind: Length, Unit: "cm", Default: "40", Low: 1, High: 300}, inBed},
		Example: map[string]string{"soil": "silt loam", "depth": "60 cm", "area": "4 m2"},
		Run: func(v Values) (Answer, error) {
			t, _ := water.TextureOf(v.Word("soil"))
			depth := v.Num("depth") * 10 // mm
			var p paper
			p.line("%s holds %v to %v of its volume for plants", t.Name, t.Available.Low, t.Available.High)
			p.line("%v mm of soil × %v to %v = %v to %v mm", depth, t.Available.Low, t.Available.High, depth*t.Available.Low, depth*t.Available.High)
			area := float64(v.Area("area"))
			mm := depth * t.Available.Mid()
			return Answer{
				Results: []Result{
					between("held", mm, depth*t.Available.Low, depth*t.Available.High, "mm", "water that plants can take"),
					between("litres", mm*area, depth*t.Available.Low*area, depth*t.Available.High*area, "L", "the same under the bed"),
				},
				Steps: p.lines, Source: []string{t.Source + " table 19"}, Status: worst(t.Status),
				Cautions: []string{"Stones hold next to none, compost a little more: take off the share of stones."},
			}, nil
		},
	}
}

func waterShortage() Calculator {
	return Calculator{
		Name: "water-shortage", Subject: "water", Says: "what share of the yield is left when a crop gets part of its water",
		Inputs:  []Input{cropInput(false), {Name: "used", Says: "share of its full water use over the season", Kind: Share, Low: 0, High: 1}},
		Example: map[string]string{"crop": "French bean", "used": "66 %"},
		Run: func(v Values) (Answer, error) {
			c, err := cropOf(v)
			if err != nil {
				return Answer{}, err
			}
			r := water.ResponseOf(c.Name)
			left := r.YieldShare(v.Num("used"))
			var p paper
			p.line("response Ky of %s = %v%s", c.Name, r.Ky, basis(r.Basis))
			p.line("1 - Y/Ym = Ky (1 - used) = %v × (1 - %v) = %v", r.Ky, v.Num("used"), 1-left)
			return Answer{
				Results: []Result{result("yield", 100*left, "%", "share of the yield with water enough")},
				Steps:   p.lines, Source: []string{r.Source + " eq. 90, table 24"}, Status: worst(r.Status),
				Cautions: []string{"The figure stands for a shortage spread over the season; at flowering and swelling the same shortage costs more."},
			}, nil
		},
	}
}

func saltLoss() Calculator {
	return Calculator{
		Name: "salt-loss", Subject: "water", Says: "what share of the yield salt in the soil leaves",
		Inputs:  []Input{cropInput(false), {Name: "salinity", Says: "conductivity of the saturated extract, dS/m", Kind: Number, Unit: "dS/m", Low: 0, High: 40}},
		Example: map[string]string{"crop": "onion", "salinity": "2.2"},
		Run: func(v Values) (Answer, error) {
			c, err := cropOf(v)
			if err != nil {
				return Answer{}, err
			}
			s, ok := water.SaltOf(c.Name)
			if !ok {
				return Answer{}, refuse("crop", "no salt tolerance is known for "+c.Name, "take a crop like it")
			}
			ec := v.Num("salinity")
			low, high := water.Salted(ec, s.Threshold.Low, s.Loss.High), water.Salted(ec, s.Threshold.High, s.Loss.Low)
			var p paper
			p.line("threshold %v to %v dS/m, loss %v to %v %% for each dS/m beyond", s.Threshold.Low, s.Threshold.High, s.Loss.Low, s.Loss.High)
			p.line("Y/Ym = 1 - (ECe - threshold) b/100 = %v to %v", low, high)
			return Answer{
				Results: []Result{between("yield", 50*(low+high), 100*low, 100*high, "%", "share of the yield without salt; the crop is rated "+s.Rating)},
				Steps:   p.lines, Source: []string{s.Source + " eq. 89, table 23"}, Status: worst(s.Status),
				Cautions: []string{"Conductivity of a suspension or of drained water is another figure: ask the laboratory for that of the saturated extract."},
			}, nil
		},
	}
}
