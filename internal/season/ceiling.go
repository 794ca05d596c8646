package season

import (
	"fmt"

	"fairplot/internal/ceiling"
	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/garden"
	"fairplot/internal/water"
)

// Ceiling returns the yield that the weather from start to the last harvest allowed a crop at the site: before and after the shortage of
// water that the planting's account shows, if there is one.
func Ceiling(r garden.Records, site garden.SiteID, crop string, start, last civil.Date, account *water.Sheet) (ceiling.Ceiling, error) {
	where, err := siteOf(r, site)
	if err != nil {
		return ceiling.Ceiling{}, err
	}
	days, filled := climate.Fill(Readings(r, site), start, last)
	if filled.StillEmpty > 0 {
		return ceiling.Ceiling{}, &garden.Error{Kind: garden.Missing, Field: "weather",
			Text: fmt.Sprintf("%d of %d days have no temperatures", filled.StillEmpty, filled.Days), Hint: "bring in the weather of that time, or monthly normals"}
	}
	s := ceiling.Season{Crop: crop, Place: placeOf(where), Days: days}
	if account != nil {
		s.Used = account.Sum.UsedShare()
	}
	c, err := ceiling.Yield(s)
	if err != nil {
		return c, &garden.Error{Kind: garden.Missing, Field: "crop", Text: err.Error(), Cause: err}
	}
	if filled.Joined+filled.OtherYears+filled.Normals > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("%d of %d days of weather were filled in or made from normals", filled.Joined+filled.OtherYears+filled.Normals, filled.Days))
	}
	return c, nil
}
