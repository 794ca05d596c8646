package season

import (
	"slices"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/garden"
)

// under returns the days as they were under the cover of a garden: its own temperatures and the warmth of them, no rain, and the
// evaporation of the open, since no formula for that under cover stands on published ground. Gaps in the temperatures are filled from those
// under the cover alone: the open says little of a tunnel's days.
func (s *Season) under(r garden.Records, from, to civil.Date, o Options) ([]Day, error) {
	own := readings(r.Weather, func(w garden.WeatherDay) bool { return w.Tunnel == o.Tunnel && w.Site == s.Site.ID })
	if len(own) == 0 {
		return nil, &garden.Error{Kind: garden.Missing, Field: "tunnel", Text: "nothing was measured under the cover of that garden",
			Hint: "bring in its temperatures with: fairplot weather import FILE --tunnel GARDEN"}
	}
	filled, count := climate.Fill(own, from, to)
	s.Filled = climate.Filled{Days: count.Days, Joined: count.Joined, OtherYears: count.OtherYears, Normals: count.Normals, StillEmpty: count.StillEmpty}
	inside := work(s.Place, filled, o)
	days := slices.Clone(s.Days)
	for i := range days {
		days[i].Min, days[i].Max, days[i].Warmth, days[i].Rain = inside[i].Min, inside[i].Max, inside[i].Warmth, 0
		days[i].Worked = days[i].Worked && inside[i].Worked
	}
	return days, nil
}
