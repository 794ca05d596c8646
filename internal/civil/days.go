package civil

// Civil dates as day numbers by whole-number arithmetic, since reports ask for the year of every entry: the year is
// taken to begin in March, so that the leap day is its last, and 400 years are always 146,097 days (Gregorian rule).
// Checked against package time in the tests.

const (
	daysIn400Years = 146097
	dayOfMarch2000 = 61 // 1 March 2000 is day 61 after 31 December 1999
)

// dayNumber returns the days from 31 December 1999 to the date; the month is 1 to 12.
func dayNumber(year, month, day int) int {
	if month <= 2 {
		year--
		month += 12
	}
	era := floorDiv(year, 400)
	ofEra := year - era*400
	ofYear := (153*(month-3)+2)/5 + day - 1
	return (era-5)*daysIn400Years + ofEra*365 + ofEra/4 - ofEra/100 + ofYear + dayOfMarch2000
}

// fromDayNumber is the inverse of dayNumber.
func fromDayNumber(n int) (year, month, day int) {
	n -= dayOfMarch2000
	era := floorDiv(n, daysIn400Years)
	ofEra := n - era*daysIn400Years
	year = (ofEra - ofEra/1460 + ofEra/36524 - ofEra/146096) / 365
	ofYear := ofEra - (365*year + year/4 - year/100)
	m := (5*ofYear + 2) / 153
	day = ofYear - (153*m+2)/5 + 1
	year += (era + 5) * 400
	if m >= 10 {
		return year + 1, m - 9, day
	}
	return year, m + 3, day
}

func daysIn(year, month int) int {
	if month == 12 {
		return 31
	}
	return dayNumber(year, month+1, 1) - dayNumber(year, month, 1)
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
