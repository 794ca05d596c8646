package diary

import (
	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// Units is how quantities are read and written in a book, by its settings and the grower's own loads.
func Units(r garden.Records) unit.Reader {
	u := unit.Reader{Currency: SettingOf(r, garden.SettingCurrency), Loads: map[string]unit.Load{}}
	if SettingOf(r, garden.SettingUnits) == "us" {
		u.System = unit.US
	}
	for _, m := range r.Measures {
		u.Loads[garden.Fold(m.Name)] = unit.Load{Plural: garden.Fold(m.Plural), Volume: m.Volume.Or(0), Mass: m.Mass.Or(0)}
	}
	return u
}

// Dates is how dates are read in a book on the day.
func Dates(r garden.Records, today civil.Date) civil.Reader {
	d := civil.Reader{Today: today}
	switch SettingOf(r, garden.SettingDates) {
	case "day-first":
		d.Order = civil.DayFirst
	case "month-first":
		d.Order = civil.MonthFirst
	}
	return d
}

// SettingOf returns the value of a setting, "" if it was never set.
func SettingOf(r garden.Records, name string) string {
	for _, s := range r.Settings {
		if s.Name == name {
			return s.Value
		}
	}
	return ""
}
