package intake

import (
	"fmt"

	"fairplot/internal/climate"
)

// What weather has never done: a figure beyond these is a slip or in another unit. The extremes are those that the World Meteorological
// Organization lists (from memory: 56.7 °C at Furnace Creek 1913, -89.2 °C at Vostok 1983, 1,825 mm in a day on La Réunion 1966); a day's
// rain is refused long before that, since in a garden it is nearly always in tenths.
const (
	hottest    = 57.0
	coldest    = -90.0
	mostRain   = 1000.0 // mm in a day
	muchRain   = 300.0  // mm in a day, beyond which it is asked about
	mostSun    = 24.0   // h
	mostEnergy = 45.0   // MJ/m² a day: the sun sends no more above the air at any latitude (FAO56 eq. 21)
	mostWind   = 60.0   // m/s, mean of a day
)

// impossible says what cannot be about a day, "" if nothing.
func impossible(d climate.Weather) string {
	switch {
	case d.Min.Known && d.Max.Known && d.Max.Value < d.Min.Value:
		return fmt.Sprintf("the maximum of %.4g °C lies below the minimum of %.4g °C; are the two columns swapped?", d.Max.Value, d.Min.Value)
	case beyond(d.Max, coldest, hottest):
		return fmt.Sprintf("max: %.4g °C has never been measured; is it in °F? Then say --units max=F,min=F", d.Max.Value)
	case beyond(d.Min, coldest, hottest):
		return fmt.Sprintf("min: %.4g °C has never been measured; is it in °F? Then say --units max=F,min=F", d.Min.Value)
	case beyond(d.Rain, 0, mostRain-1e-9):
		return fmt.Sprintf("rain: %.6g mm in a day cannot be; is it in tenths of mm (--units rain=0.1mm), or a slip? If it did fall, note that day by hand", d.Rain.Value)
	case beyond(d.Sunshine, 0, mostSun):
		return fmt.Sprintf("sunshine: %.4g h do not fit into a day; are they minutes (--units sunshine=min)?", d.Sunshine.Value)
	case beyond(d.Radiation, 0, mostEnergy):
		return fmt.Sprintf("radiation: the sun sends no %.4g MJ/m² in a day; is it in another unit, such as --units radiation=J/cm2 or W/m2?", d.Radiation.Value)
	case beyond(d.Wind, 0, mostWind):
		return fmt.Sprintf("wind: a mean of %.4g m/s cannot be; is it in km/h (--units wind=km/h)?", d.Wind.Value)
	case beyond(d.Humidity, 0, 1.005):
		return fmt.Sprintf("humidity: %.4g %% is more than air can hold", 100*d.Humidity.Value)
	}
	return ""
}

func beyond(r climate.Reading, low, high float64) bool {
	return r.Known && !(r.Value >= low && r.Value <= high)
}

// enoughDays is how many days it takes to judge a column as a whole.
const enoughDays = 30

// judge looks at the days as a whole: a unit that was taken wrongly shows in a column sooner than in a cell.
func (w *Weather) judge() error {
	for i, d := range w.Days {
		w.Days[i].Humidity.Value = min(d.Humidity.Value, 1)
		if d.Rain.Known && d.Rain.Value >= muchRain {
			w.doubt(d.Line, fmt.Sprintf("%.4g mm of rain in a day is very much: is this right?", d.Rain.Value))
		}
		if d.Humidity.Known && d.Humidity.Value < 0.03 {
			w.doubt(d.Line, fmt.Sprintf("air of %.3g %% humidity is drier than any desert's: is it a share among per cents?", 100*d.Humidity.Value))
		}
	}
	if len(w.Days) == 0 && len(w.Wrong) == 0 {
		return refuse("", "it holds no day with a figure", "is this the right file?")
	}
	if err := w.judgeWarmth(); err != nil {
		return err
	}
	rain, wet := total(w.Days, func(d climate.Weather) climate.Reading { return d.Rain })
	if wet >= enoughDays && rain/float64(wet) > 25 {
		return ask("rain", fmt.Sprintf("%.5g mm fall in %d days: that is more than the wettest places get", rain, wet), "are the figures tenths of mm? Then say --units rain=0.1mm")
	}
	return nil
}

// judgeWarmth asks about degrees of the wrong kind.
func (w *Weather) judgeWarmth() error {
	warm, n := total(w.Days, func(d climate.Weather) climate.Reading { return d.Max })
	hot := 0
	for _, d := range w.Days {
		if d.Max.Known && d.Max.Value > 45 {
			hot++
		}
	}
	switch {
	case n >= enoughDays && hot*10 > n:
		return ask("max", fmt.Sprintf("%d of %d days pass 45 °C", hot, n), "are the degrees Fahrenheit? Then say --units max=F,min=F")
	case n >= 300 && warm/float64(n) < -5:
		return ask("max", fmt.Sprintf("the mean of the highest temperatures of %d days is %.3g °C", n, warm/float64(n)), "are the degrees Celsius after all, and not Fahrenheit? Then say --units max=C,min=C")
	}
	return nil
}

func total(days []WeatherDay, get func(climate.Weather) climate.Reading) (sum float64, n int) {
	for _, d := range days {
		if r := get(d.Weather); r.Known {
			sum += r.Value
			n++
		}
	}
	return sum, n
}
