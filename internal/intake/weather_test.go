package intake

import (
	"bytes"
	"compress/gzip"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"fairplot/internal/civil"
	"fairplot/internal/climate"
	"fairplot/internal/garden"
)

func read(t *testing.T, text string, o WeatherOptions) Weather {
	t.Helper()
	w, err := ReadWeather("w.csv", []byte(text), o)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	return w
}

func same(a, b climate.Reading) bool {
	return a.Known == b.Known && math.Abs(a.Value-b.Value) < 1e-9
}

// TestOneDayInManyLayouts: 1 July 2025 with 10 to 30 °C and 25.4 mm, however a service writes it. The values are those of the units'
// definitions: 50 °F is 10 °C, 86 °F is 30 °C, an inch 25.4 mm (NIST SP 811).
func TestOneDayInManyLayouts(t *testing.T) {
	want := climate.Weather{Date: civil.Of(2025, 7, 1), Min: climate.Some(10), Max: climate.Some(30), Rain: climate.Some(25.4)}
	for dress, c := range map[string]struct {
		text string
		o    WeatherOptions
	}{
		"units in heads":         {"date,Tmin (°F),Tmax (°F),PRCP in\n2025-07-01,50,86,1\n", WeatherOptions{}},
		"units behind a line":    {"Date;tmin_c;tmax_c;rain_mm\n01.07.2025;10,0;30,0;25,4\n", WeatherOptions{}},
		"units in cells":         {"date,min,max,rain\n2025-07-01,10 °C,86 °F,1 in\n", WeatherOptions{}},
		"units told":             {"date,low,high,precip\n2025-07-01,50,86,1\n", WeatherOptions{Units: map[string]string{"all": "us"}}},
		"heads told":             {"Tag,unten,oben,nass\n2025-07-01,10,30,25.4\n", WeatherOptions{Columns: map[string]string{"date": "Tag", "min": "unten", "max": "oben", "rain": "nass"}, Units: map[string]string{"all": "metric"}}},
		"year, month, day":       {"Product code,Station number,Year,Month,Day,Minimum temperature (Degree C),Maximum temperature (Degree C),Rainfall amount (millimetres),Quality\nX,1,2025,07,01,10,30,25.4,Y\n", WeatherOptions{}},
		"blanks, a row of units": {"Somewhere 52.0 N\nestimated figures have a star\n yyyy mm dd   tmax   tmin   rain\n              degC   degC     mm\n 2025  7  1   30.0*  10.0   25.4\n", WeatherOptions{}},
		"German daily table":     {"STATIONS_ID;MESS_DATUM;QN_3;  FX;  FM;QN_4; RSK;RSKF; SDK;SHK_TAG;  NM; VPM;  PM; TMK; UPM; TXK; TNK; TGK;eor\n 1;20250701;10;-999;-999;10;25.4;6;-999;0;1;9;1;20;-999;30.0;10.0;9;eor\n", WeatherOptions{}},
		"single elements":        {"GME00111445,20250701,TMAX,300,,,E,\nGME00111445,20250701,TMIN,100,,,E,\nGME00111445,20250701,PRCP,254,,,E,\nGME00111445,20250701,SNWD,0,,,E,\n", WeatherOptions{}},
	} {
		w := read(t, c.text, WeatherOptions{Columns: c.o.Columns, Units: c.o.Units, Dates: civil.Reader{}})
		if len(w.Days) != 1 || len(w.Wrong) > 0 {
			t.Errorf("%s: %d days, wrong %v", dress, len(w.Days), w.Wrong)
			continue
		}
		if d := w.Days[0]; d.Date != want.Date || !same(d.Min, want.Min) || !same(d.Max, want.Max) || !same(d.Rain, want.Rain) || d.Sunshine.Known || d.Wind.Known || d.Humidity.Known {
			t.Errorf("%s: %+v", dress, d)
		}
	}
}

// Units by their definitions: 1 kWh is 3.6 MJ, a thermochemical calorie 4.184 J, a knot 1852 m an hour, a mile 1609.344 m.
func TestUnitsOfTheOtherReadings(t *testing.T) {
	for head, want := range map[string]float64{
		"radiation (kWh/m2)": 7.2, "radiation (J/cm²)": 0.02, "radiation (W/m2)": 0.1728, "radiation (langley)": 0.08368, "radiation (MJ/m² per day)": 2,
		"wind (km/h)": 2 / 3.6, "wind (knots)": 2 * 1852.0 / 3600, "wind (mph)": 0.89408, "wind (m/s)": 2,
		"sunshine (min)": 2.0 / 60, "sun hours": 2, "humidity (%)": 0.02,
	} {
		w := read(t, "date,"+head+"\n2025-07-01,2\n", WeatherOptions{})
		d := w.Days[0]
		for _, r := range []climate.Reading{d.Radiation, d.Wind, d.Sunshine, d.Humidity} {
			if r.Known && math.Abs(r.Value-want) > 1e-9 {
				t.Errorf("2 under %q is %g, want %g", head, r.Value, want)
			}
		}
	}
}

// Heads as people and services write them: what the column holds, and its unit.
func TestHeadsAreUnderstood(t *testing.T) {
	for head, want := range map[string]string{
		"Tmax [°C]": "max °C", "T max (deg C)": "max deg C", "Temp_Max_F": "max f", "Min °C": "min °c", "PRCP in mm": "rain mm", "rain_in": "rain in",
		"Precipitation, mm": "rain mm", "Rainfall amount (millimetres)": "rain millimetres", "Daily global solar exposure (MJ/m*m)": "radiation MJ/m*m",
		"Relative humidity (%)": "humidity %", "wind speed (km/h)": "wind km/h", "Sunshine hours": "sunshine ", "TNK": "min ", "Date/Time": "date ", "Snow depth (cm)": "",
	} {
		c := columnsIn([]string{head}, nil)
		got := ""
		if len(c) == 1 {
			got = c[0].field + " " + c[0].unit
		}
		if got != want {
			t.Errorf("%q is taken for %q, want %q", head, got, want)
		}
	}
}

func TestHumidityIsShareOrPerCentByItsColumn(t *testing.T) {
	for text, want := range map[string]float64{"0.8\n0.55": 0.8, "80\n55": 0.8, "80 %\n55 %": 0.8} {
		a, b, _ := strings.Cut(text, "\n")
		w := read(t, "date,humidity\n2025-07-01,"+a+"\n2025-07-02,"+b+"\n", WeatherOptions{})
		if len(w.Days) != 2 || !same(w.Days[0].Humidity, climate.Some(want)) {
			t.Errorf("%q: %+v, %v", text, w.Days, w.Wrong)
		}
	}
}

// TestWhatCannotBeIsSaid goes through the slips that files of weather have; each gets a sentence about its line, and the other lines stay.
func TestWhatCannotBeIsSaid(t *testing.T) {
	for row, says := range map[string]string{
		"2025-07-02,12,5,0,80":     "the maximum of 5 °C lies below the minimum of 12 °C",
		"2025-07-02,12,20,1000,80": "rain: 1000 mm in a day cannot be",
		"2025-07-02,12,20,-3,80":   "rain: -3 mm",
		"2025-07-02,54,77,0,80":    "max: 77 °C has never been measured; is it in °F?",
		"2025-07-02,12,20,0,180":   "humidity: 180 % is more than air can hold",
		"2025-07-02,12,20,wet,80":  `rain: "wet" is no number`,
		"2025-07-02,12,20,3 kg,80": `rain: "kg" is no unit`,
		"2025-02-30,12,20,0,80":    "February 2025 has no day 30",
		"2025-07-01,11,21,0,80":    "line 2 has 1 Jul 2025 too, with other figures",
	} {
		w := read(t, "date,min (°C),max (°C),rain (mm),humidity (%)\n2025-07-01,10,20,0,80\n"+row+"\n2025-07-05,10,20,0,80\n", WeatherOptions{})
		if len(w.Wrong) != 1 || w.Wrong[0].Line != 3 || !strings.Contains(w.Wrong[0].Text, says) || len(w.Days) != 2 {
			t.Errorf("%s: %d days, wrong %v", row, len(w.Days), w.Wrong)
		}
	}
}

func TestWhatIsOddIsAsked(t *testing.T) {
	w := read(t, "date,rain (mm),humidity (%)\n2025-07-01,320,70\n2025-07-02,T,0.7\n2025-07-03,-9999,60\n2025-07-03,-9999,60\n2025-07-08,0,\n", WeatherOptions{})
	if len(w.Doubts) != 2 || len(w.Wrong) != 0 || len(w.Days) != 4 || w.Days[1].Rain != climate.Some(0) || w.Days[2].Rain.Known {
		t.Errorf("doubts %v, wrong %v, days %+v", w.Doubts, w.Wrong, w.Days)
	}
	notes := strings.Join(w.Notes, "; ")
	if !strings.Contains(notes, "1 line stands there twice") || !strings.Contains(notes, "4 days are missing between the first and the last, at most 4 in a row from 4 Jul 2025") {
		t.Errorf("notes %q", notes)
	}
}

// rowsOf writes so many days with the same figures.
func rowsOf(n int, figures string) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(civil.Of(2024, 1, 1).AddDays(i).String() + "," + figures + "\n")
	}
	return b.String()
}

// TestFilesThatAreAskedAbout: what shows only in a file as a whole stops it, with the words that would mend it.
func TestFilesThatAreAskedAbout(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		o    WeatherOptions
		says string
	}{
		"no unit":                {"date,tmin,tmax\n2025-07-01,5,20\n", WeatherOptions{}, "--units min=c"},
		"no unit, looks like °F": {"date,tmax\n2025-07-01,86\n", WeatherOptions{}, "which looks like °F"},
		"°F for °C":              {"date,max (°C)\n" + rowsOf(40, "50"), WeatherOptions{}, "are the degrees Fahrenheit?"},
		"°C for °F":              {"date,max (°F)\n" + rowsOf(366, "15"), WeatherOptions{}, "are the degrees Celsius after all"},
		"tenths of mm":           {"date,rain (mm)\n" + rowsOf(40, "60"), WeatherOptions{}, "rain=0.1mm"},
		"shares headed per cent": {"date,humidity (%)\n2025-07-01,0.8\n", WeatherOptions{}, "humidity=share"},
		"no date":                {"when it was,tmin (°C)\n2025-07-01,5\n", WeatherOptions{}, "--columns date=HEAD"},
		"no figures":             {"date,snow\n2025-07-01,5\n", WeatherOptions{}, "--columns min=HEAD"},
		"no such head":           {"date,Tmin (°C)\n2025-07-01,5\n", WeatherOptions{Columns: map[string]string{"max": "Tmx"}}, `no column is headed "Tmx"`},
		"no such field":          {"date,Tmin (°C)\n2025-07-01,5\n", WeatherOptions{Columns: map[string]string{"mim": "Tmin"}}, "did you mean min"},
		"no such unit":           {"date,Tmin\n2025-07-01,5\n", WeatherOptions{Units: map[string]string{"min": "R"}}, `"R" is no unit for min`},
		"no such system":         {"date,Tmin\n2025-07-01,5\n", WeatherOptions{Units: map[string]string{"all": "imperial"}}, "metric or us"},
		"empty":                  {"date,Tmin (°C)\n", WeatherOptions{}, "no day"},
		"two stations":           {"GME00111445,20250701,TMAX,300,,,E,\nGME00111446,20250701,TMIN,100,,,E,\n", WeatherOptions{}, "2 stations"},
		"eleven months":          {"month,tmin (°C),tmax (°C)\n1,2,3\n2,2,3\n3,2,3\n4,2,3\n5,2,3\n6,2,3\n7,2,3\n8,2,3\n9,2,3\n10,2,3\n11,2,3\n", WeatherOptions{}, "no figures for December"},
	} {
		_, err := ReadWeather("w.csv", []byte(c.text), c.o)
		var e *garden.Error
		if !errors.As(err, &e) || e.Hint == "" || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A file that spans the year 2000 has the one day that no date can hold; it comes in without it, and without a gap being told.
func TestTheDayThatNoDateHoldsIsLeftOut(t *testing.T) {
	for _, text := range []string{
		"date,min (°C)\n1999-12-30,1\n1999-12-31,1\n2000-01-01,1\n",
		"date;min (°C)\n30.12.1999;1\n31.12.1999;1\n01.01.2000;1\n",
		"year,month,day,min (°C)\n1999,12,30,1\n1999,12,31,1\n2000,1,1,1\n",
		"USC00000001,19991230,TMIN,10,,,7,0700\nUSC00000001,19991231,TMIN,10,,,7,0700\nUSC00000001,20000101,TMIN,10,,,7,0700\n",
	} {
		w := read(t, text, WeatherOptions{})
		if len(w.Days) != 2 || len(w.Wrong) != 0 || len(w.Notes) != 1 || !strings.Contains(w.Notes[0], "31 December 1999") {
			t.Errorf("%q: %d days, wrong %v, notes %q", text, len(w.Days), w.Wrong, w.Notes)
		}
	}
}

func TestSpreadsheetOfWeather(t *testing.T) {
	data := sheet(t, func(f *excelize.File) {
		f.SetSheetRow("Sheet1", "A1", &[]any{"Date", "Min temp (°C)", "Rainfall (mm)"})
		f.SetSheetRow("Sheet1", "A2", &[]any{46204, 9.5, 3}) // 1 July 2026, as TestSpreadsheet says
	})
	w, err := ReadWeather("w.xlsx", data, WeatherOptions{})
	if err != nil || len(w.Days) != 1 || w.Days[0].Date != civil.Of(2026, 7, 1) || !same(w.Days[0].Min, climate.Some(9.5)) || !same(w.Days[0].Rain, climate.Some(3)) {
		t.Errorf("%+v, %v", w, err)
	}
}

func TestFiguresThatFailedTheServicesChecksAreLeftOut(t *testing.T) {
	text := "GME00111445,20250701,TMAX,300,,,E,\nGME00111445,20250701,TMIN,-600,,X,E,\nGME00111445,20250702,TMAX,-9999,,,E,\nGME00111445,20250703,PRCP,0,T,,E,\n"
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	if _, err := z.Write([]byte(text)); err != nil || z.Close() != nil {
		t.Fatal(err)
	}
	w, err := ReadWeather("w.csv.gz", packed.Bytes(), WeatherOptions{})
	if err != nil || len(w.Days) != 2 || w.Days[0].Min.Known || !same(w.Days[0].Max, climate.Some(30)) || !strings.Contains(strings.Join(w.Notes, " "), "1 figure failed") {
		t.Errorf("%+v, %v", w, err)
	}
	if _, err := ReadWeather("w.csv.gz", packed.Bytes()[:packed.Len()/2], WeatherOptions{}); err == nil {
		t.Error("half a packed file was taken")
	}
}

// Normals: a row for each month, or the months of several years by their mean (here by hand: 2 and 4 °C are 3 °C).
func TestRowsOfMonths(t *testing.T) {
	var one, many strings.Builder
	one.WriteString("Month,Tmin (°C),Tmax (°C),Rain (mm),Rain days,Sun hours\n")
	many.WriteString("   yyyy  mm   tmax    tmin      af    rain     sun\n              degC    degC    days      mm   hours\n")
	for m, name := range []string{"Jan", "Feb", "March", "Apr", "May", "June", "Jul", "Aug", "Sept", "Oct", "Nov", "Dec"} {
		one.WriteString(name + ",2,10,1200,9,60\n")
		for year, low := range map[string]string{"2023": "2.0", "2024": "4.0"} {
			many.WriteString("   " + year + "  " + itoa(m+1) + "   10.0   " + low + "   ---   60.0*   70.0#  Provisional\n")
		}
	}
	w := read(t, one.String(), WeatherOptions{})
	if !w.Monthly || len(w.Days) != 0 || len(w.Wrong) != 0 || w.Normals[8].Rain != climate.Some(1200) || w.Normals[8].RainDays != climate.Some(9) || w.Normals[0].Sunshine != climate.Some(60) {
		t.Errorf("%+v", w)
	}
	w = read(t, many.String(), WeatherOptions{})
	for m, n := range w.Normals {
		if !same(n.Min, climate.Some(3)) || !same(n.Max, climate.Some(10)) || !same(n.Rain, climate.Some(60)) || !same(n.Sunshine, climate.Some(70)) {
			t.Errorf("month %d: %+v, wrong %v", m+1, n, w.Wrong)
		}
	}
	perDay := read(t, strings.ReplaceAll(one.String(), ",60\n", ",2\n"), WeatherOptions{})
	if !same(perDay.Normals[1].Sunshine, climate.Some(56)) {
		t.Errorf("2 h a day in February are %+v, want 56 h in the month", perDay.Normals[1].Sunshine)
	}
}

func itoa(n int) string { return string([]byte{byte('0' + n/10), byte('0' + n%10)}) }

// The figures of a day, read again with their units, are the day.
func TestFiguresAreReadBackAsTheyWere(t *testing.T) {
	day := read(t, "date,min (°C),max (°C),rain (in),sunshine (h),radiation (MJ/m2),wind (km/h),humidity (%)\n2025-07-01,-4.25,30.1,0.5,7.5,18.123,9,71.5\n", WeatherOptions{}).Days[0]
	heads, cells := "date", "2025-07-01"
	for _, f := range day.Figures() {
		heads, cells = heads+","+f.Field, cells+","+f.Text
		if f.Field == "radiation" || f.Field == "wind" {
			cells += map[string]string{"radiation": " MJ/m2", "wind": " m/s"}[f.Field]
		}
	}
	again := read(t, heads+"\n"+cells+"\n", WeatherOptions{}).Days[0]
	if again.Weather != day.Weather {
		t.Errorf("%+v came back as %+v", day, again)
	}
}

// However the rows of a file are ordered, the same days come in.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rows := strings.Split(strings.TrimSpace(rowsOf(20, "3,9")), "\n")
	forward := read(t, "date,min (°C),max (°C)\n"+strings.Join(rows, "\n"), WeatherOptions{})
	for i, j := 0, len(rows)-1; i < j; i, j = i+1, j-1 {
		rows[i], rows[j] = rows[j], rows[i]
	}
	back := read(t, "date,min (°C),max (°C)\n"+strings.Join(rows, "\n"), WeatherOptions{})
	for i, d := range forward.Days {
		if back.Days[i].Weather != d.Weather {
			t.Errorf("day %d: %+v and %+v", i, d, back.Days[i])
		}
	}
}

func FuzzReadWeather(f *testing.F) {
	f.Add([]byte("date,min (°C)\n2025-07-01,5\n"))
	f.Add([]byte("GME00111445,20250701,TMAX,300,,,E,\n"))
	f.Add([]byte(" yyyy mm tmax\n degC\n 2024 1 3\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		w, err := ReadWeather("w.csv", data, WeatherOptions{})
		if err != nil {
			return
		}
		for i, d := range w.Days {
			if d.Date.IsZero() || i > 0 && !w.Days[i-1].Date.Before(d.Date) {
				t.Errorf("day %d is %s", i, d.Date)
			}
		}
	})
}

func BenchmarkReadWeather(b *testing.B) {
	text := []byte("date,min (°C),max (°C)\n" + rowsOf(3650, "3,9"))
	for b.Loop() {
		if _, err := ReadWeather("w.csv", text, WeatherOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}
