package civil

import "time"

// Week returns the ISO 8601 week and the year that it counts to.
func (d Date) Week() (year, week int) {
	thursday := d.AddDays(4 - isoWeekday(d))
	year = thursday.Year()
	return year, (thursday.YearDay()-1)/7 + 1
}

// OfWeek returns the day of an ISO 8601 week; weekday is 1 for Monday to 7 for Sunday.
func OfWeek(year, week, weekday int) Date {
	fourth := Of(year, time.January, 4) // lies in week 1 by definition
	return fourth.AddDays(1 - isoWeekday(fourth) + (week-1)*7 + weekday - 1)
}

// WeeksIn returns the number of ISO 8601 weeks of the year, 52 or 53.
func WeeksIn(year int) int {
	_, w := Of(year, time.December, 28).Week() // lies in the last week by definition
	return w
}

// InWeekOf returns "some day of that week", which stands on its Thursday.
func InWeekOf(year, week int) When { return When{Date: OfWeek(year, week, 4), Precision: InWeek} }

func isoWeekday(d Date) int { return (int(d.Weekday())+6)%7 + 1 }
