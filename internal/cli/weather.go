package cli

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/intake"
	"fairplot/internal/unit"

	"github.com/spf13/cobra"
)

// weatherActs are what the weather has beside its records: files of it come in, and the season goes out.
var weatherActs = []func(*app) *cobra.Command{weatherImportCommand, weatherShowCommand}

// weatherImport is what a file of weather cannot say of itself.
type weatherImport struct {
	importOptions
	site, tunnel, units, from, to string
	columns                       map[string]string
	replace, skipWrong            bool
}

func weatherImportCommand(a *app) *cobra.Command {
	var o weatherImport
	c := &cobra.Command{
		Use: "import FILE", Short: "bring in a file of daily weather, or of monthly normals", Args: exactly("FILE"),
		Long: "Heads and units are looked for in the first lines of the file; what they do not say is asked for. Read are CSV, spreadsheets,\n" +
			"tables in columns (year, month, day), the station files of the Global Historical Climatology Network, packed or not, and the\n" +
			"daily tables of German stations. A file of twelve months becomes days, marked as normals, where there are no days yet.\n\n" +
			"Fields are date (or year, month, day), min, max, rain, sunshine, radiation, wind and humidity. The same file a second time adds nothing;\n" +
			"a file that has other fields of the same days completes them.",
		Example: "  fairplot weather import station.csv --dry-run\n" +
			"  fairplot weather import station.csv --columns date=Datum,min=Tmin,rain=Regen --units min=C,rain=mm\n" +
			"  fairplot weather import normals.csv --from 2024-01-01 --to 2026-12-31",
		RunE: func(_ *cobra.Command, args []string) error { return a.importWeather(args[0], o) },
	}
	f := c.Flags()
	f.StringVar(&o.site, "site", "", "the place; the only one unless given")
	f.StringVar(&o.tunnel, "tunnel", "", "the garden under whose cover it was measured")
	f.StringToStringVar(&o.columns, "columns", nil, "which column holds what: date=Datum,min=Tmin")
	f.StringVar(&o.units, "units", "", "units that the heads do not name: metric, us, or min=F,rain=in")
	f.StringVar(&o.from, "from", "", "the first day that is wanted")
	f.StringVar(&o.to, "to", "", "the last day that is wanted")
	f.BoolVar(&o.replace, "replace", false, "where the book has other figures of a day, take the new ones")
	f.BoolVar(&o.skipWrong, "skip-wrong", false, "leave out the lines that cannot be taken, and take the rest")
	f.BoolVar(&o.dry, "dry-run", false, "only tell what would be done")
	f.StringVar(&o.mark, "mark", "", "what stands between the columns, if it is not what the heads suggest")
	f.StringVar(&o.sheet, "sheet", "", "the sheet of a spreadsheet, if not the first")
	cobra.CheckErr(c.RegisterFlagCompletionFunc("site", a.completeFrom(a.namesOf(garden.KindSite))))
	cobra.CheckErr(c.RegisterFlagCompletionFunc("tunnel", a.completeFrom(a.namesOf(garden.KindGarden))))
	return c
}

func (a *app) importWeather(file string, o weatherImport) error {
	data, err := os.ReadFile(a.path(file))
	if err != nil {
		return &garden.Error{Kind: garden.Missing, Text: "the file " + file + " cannot be read", Hint: "check its name and that you may read it", Cause: err}
	}
	s, err := a.read(garden.Want{Kinds: diary.Needs(garden.KindWeather)})
	if err != nil {
		return err
	}
	c, err := a.context(s)
	if err != nil {
		return err
	}
	c.Asks = false
	in := weatherIntake{importing: importing{app: a, context: c, options: o.importOptions, started: a.env.Now(), lineOf: map[garden.ID]int{}}, how: o, file: filepath.Base(file)}
	if err := in.whereAndWhen(s); err != nil {
		return err
	}
	read, err := intake.ReadWeather(in.file, data, o.reading(c.Dates))
	if err != nil {
		return err
	}
	in.take(read)
	return in.finish(s)
}

// reading are the options of the reader.
func (o weatherImport) reading(dates civil.Reader) intake.WeatherOptions {
	out := intake.WeatherOptions{Options: intake.Options{Sheet: o.sheet}, Columns: o.columns, Units: map[string]string{}, Dates: dates}
	out.Dates.Today = civil.Date{} // a file has whole dates
	if o.mark != "" {
		out.Mark = []rune(strings.ReplaceAll(o.mark, `\t`, "\t"))[0]
	}
	for _, one := range strings.Split(o.units, ",") {
		field, name, found := strings.Cut(one, "=")
		if !found {
			field, name = "all", field
		}
		if name = strings.TrimSpace(name); name != "" {
			out.Units[strings.TrimSpace(field)] = name
		}
	}
	return out
}

// weatherIntake is a file of weather on its way in.
type weatherIntake struct {
	importing
	how      weatherImport
	file     string
	account  *account
	site     garden.SiteID
	tunnel   garden.GardenID
	from, to civil.Date
	had      map[civil.Date]garden.WeatherDay
	first    civil.Date // of the plantings, for normals
}

// whereAndWhen settles the place, the cover and the span, and gathers what the book has of them.
func (in *weatherIntake) whereAndWhen(s *session) error {
	var err error
	if in.site, err = in.app.siteNamed(s, in.how.site); err != nil {
		return err
	}
	if in.how.tunnel != "" {
		rec, err := in.app.find(s, garden.KindGarden, in.how.tunnel)
		if err != nil {
			return err
		}
		in.tunnel = garden.GardenID(rec.Identity())
	}
	if in.from, err = dayFlag(in.context, "from", in.how.from); err != nil {
		return err
	}
	if in.to, err = dayFlag(in.context, "to", in.how.to); err != nil {
		return err
	}
	in.had = map[civil.Date]garden.WeatherDay{}
	for _, d := range s.records.Weather {
		if d.Site == in.site && d.Tunnel == in.tunnel {
			in.had[d.Date] = d
		}
	}
	for _, p := range s.records.Plantings {
		if d := p.Date.Date; !d.IsZero() && (in.first.IsZero() || d.Before(in.first)) {
			in.first = d
		}
	}
	return nil
}

// siteNamed is the place of the name; without one the only place there is.
func (a *app) siteNamed(s *session, name string) (garden.SiteID, error) {
	if name != "" {
		rec, err := a.find(s, garden.KindSite, name)
		if err != nil {
			return garden.SiteID{}, err
		}
		return garden.SiteID(rec.Identity()), nil
	}
	sites := s.x.All(garden.KindSite)
	switch len(sites) {
	case 1:
		return garden.SiteID(sites[0]), nil
	case 0:
		return garden.SiteID{}, &garden.Error{Kind: garden.Missing, Field: "site", Text: "no place is noted that the weather could belong to",
			Hint: "note it with: fairplot site add --name home --latitude 47.4"}
	}
	return garden.SiteID{}, &garden.Error{Kind: garden.Ambiguous, Field: "site", Text: fmt.Sprintf("there are %d places", len(sites)), Hint: "name one with --site: " + strings.Join(s.x.Names(garden.KindSite), ", ")}
}

// dayFlag reads a day that may be left out.
func dayFlag(c diary.Context, flag, text string) (civil.Date, error) {
	if text == "" {
		return civil.Date{}, nil
	}
	dates := c.Dates
	dates.Today = c.Today
	d, err := dates.Date(text)
	if err != nil {
		return d, &garden.Error{Kind: garden.Invalid, Field: flag, Text: err.Error(), Hint: "write it as 2026-07-01", Cause: err}
	}
	return d, nil
}

// take understands what was read, day by day.
func (in *weatherIntake) take(read intake.Weather) {
	days := read.Days
	if read.Monthly {
		days = in.normalDays(read)
	}
	in.account = &account{file: in.file, lines: len(days) + len(read.Wrong)}
	in.accounts = []*account{in.account}
	in.app.words("%s: read as: %s", in.file, read.Layout)
	for _, text := range append(read.Read, read.Notes...) {
		in.app.words("  %s", text)
	}
	for _, r := range read.Wrong {
		in.amiss(r.Line, r.Text)
	}
	for _, r := range read.Doubts {
		in.account.doubts.add(r.Line, r.Text)
	}
	for i, d := range days {
		if i%512 == 0 {
			in.progress("days understood", i, len(days))
		}
		if !in.from.IsZero() && d.Date.Before(in.from) || !in.to.IsZero() && d.Date.After(in.to) {
			in.account.lines--
			continue
		}
		in.day(d)
	}
	if read.Monthly {
		in.account.doubts = tally{} // that a normal day lies ahead is no slip
	}
}

// amiss tells of a line that cannot be taken; it stops the import unless such lines are to be left out.
func (in *weatherIntake) amiss(line int, text string) {
	if in.how.skipWrong {
		in.account.said.add(line, text)
		return
	}
	in.account.wrong.add(line, text)
}

// normalDays makes days of monthly normals: over the span asked for, else from the year of the first planting to the end of this one. Days
// that were observed are left as they are.
func (in *weatherIntake) normalDays(read intake.Weather) []intake.WeatherDay {
	this := in.context.Today.Year()
	from, to := in.from, in.to
	if from.IsZero() {
		from = civil.Of(this, 1, 1)
		if !in.first.IsZero() && in.first.Year() < this {
			from = civil.Of(max(in.first.Year(), this-30), 1, 1)
		}
	}
	if to.IsZero() {
		to = civil.Of(this, 12, 31)
	}
	var out []intake.WeatherDay
	observed := 0
	for _, d := range read.NormalDays(from, to) {
		if had, ok := in.had[d.Date]; ok && !had.Normal {
			observed++
			continue
		}
		out = append(out, d)
	}
	if observed > 0 {
		in.app.words("%s: %s were observed and stay as they are", in.file, counted(observed, "day"))
	}
	return out
}

// hadOf is the same figure of a day in the book, in the same unit.
func hadOf(d garden.WeatherDay, field string) (float64, bool) {
	switch field {
	case "min":
		return float64(d.Min.Value), d.Min.Known
	case "max":
		return float64(d.Max.Value), d.Max.Known
	case "rain":
		return float64(d.Rain.Value / unit.Millimetre), d.Rain.Known
	case "sunshine":
		return float64(d.Sunshine.Value / unit.Minute), d.Sunshine.Known
	case "radiation":
		return d.Radiation.Value, d.Radiation.Known
	case "wind":
		return d.Wind.Value, d.Wind.Known
	}
	return 100 * d.Humidity.Value, d.Humidity.Known
}

// day adds a day, completes the one that the book has, or tells where they differ.
func (in *weatherIntake) day(d intake.WeatherDay) {
	ids := makerOf(garden.KindWeather, map[string]string{"date": d.Date.String(), "site": in.site.String(), "tunnel": in.tunnel.String()})
	had, ok := in.had[d.Date]
	if !ok {
		in.understand(in.account, d.Line, ids, diary.Draft{Action: diary.Add, Kind: garden.KindWeather, Fields: in.fields(ids, d)})
		return
	}
	change, differ := map[string]string{}, []string{}
	for _, n := range d.Figures() {
		old, known := hadOf(had, n.Field)
		if known && math.Abs(old-n.Value) <= n.Near {
			continue
		}
		if known {
			differ = append(differ, fmt.Sprintf("%s is %.4g there and %.4g here", n.Field, old, n.Value))
		}
		change[n.Field] = n.Text
	}
	if had.Normal && !d.Normal {
		change["normal"], change["source"] = "no", in.file
		differ = nil
	}
	switch {
	case len(change) == 0:
		in.account.had++
	case len(differ) > 0 && !in.how.replace:
		in.amiss(d.Line, fmt.Sprintf("the book has %s with other figures (%s); --replace takes the new ones", d.Date.Words(), strings.Join(differ, ", ")))
	default:
		in.understand(in.account, d.Line, ids, diary.Draft{Action: diary.Change, Kind: garden.KindWeather, Target: had.ID.String(), Fields: change})
	}
}

// fields are those of a new day.
func (in *weatherIntake) fields(ids maker, d intake.WeatherDay) map[string]string {
	out := map[string]string{"id": ids.id("record", 0).String(), "date": d.Date.String(), "site": in.site.String(), "source": in.file}
	if !in.tunnel.IsZero() {
		out["tunnel"] = in.tunnel.String()
	}
	if d.Normal {
		out["normal"] = "yes"
	}
	for _, n := range d.Figures() {
		out[n.Field] = n.Text
	}
	return out
}
