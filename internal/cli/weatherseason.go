package cli

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"fairplot/internal/ask"
	"fairplot/internal/civil"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/season"
	"fairplot/internal/unit"
	"fairplot/internal/word"

	"github.com/spf13/cobra"
)

// weatherShow is what of the season is wanted.
type weatherShow struct {
	site, tunnel, bed, from, to, base, by string
	year                                  int
	format
}

// seasonKinds are the kinds of record that a season is worked out from.
var seasonKinds = []garden.Kind{garden.KindSetting, garden.KindSite, garden.KindGarden, garden.KindBed, garden.KindCrop, garden.KindPlanting,
	garden.KindWatering, garden.KindCover, garden.KindWeather}

// weatherShowCommand shows a season; with the name of a day it shows that record, as it does of every other kind.
func weatherShowCommand(a *app) *cobra.Command {
	var o weatherShow
	c := &cobra.Command{
		Use: "show [NAME]", Short: "show a season's warmth, rain, evaporation and the water of its beds, or all that is noted of one day",
		Long: "Warmth is the sum of what each day's mean passes the base (degree days). Evaporation is that of well-watered short grass (FAO-56). Water in\n" +
			"the soil is followed from day to day for every crop in a bed: what its roots can hold, what is missing from it, the days on which it ran\n" +
			"short, and when and how much to water. Gaps in the weather are filled by rule, and counted below the table.",
		Example: "  fairplot weather show\n  fairplot weather show --season 2025 --by week\n  fairplot weather show --bed terrace/4 --csv",
		Args:    between(0, "NAME"), ValidArgsFunction: a.completeTargets(garden.KindWeather),
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return a.showWeatherDay(args[0], o.format)
			}
			return a.showSeason(o)
		},
	}
	f := c.Flags()
	f.StringVar(&o.site, "site", "", "the place; the only one unless given")
	f.StringVar(&o.tunnel, "tunnel", "", "the garden under whose cover the warmth was measured")
	f.StringVar(&o.bed, "bed", "", "the water of the crops in these beds")
	f.StringVar(&o.from, "from", "", "the first day")
	f.StringVar(&o.to, "to", "", "the last day")
	f.IntVar(&o.year, "season", 0, "the growing year; this one unless given")
	f.StringVar(&o.base, "base", "5 °C", "above which warmth counts")
	f.StringVar(&o.by, "by", "month", "month or week")
	o.flags(c)
	cobra.CheckErr(c.RegisterFlagCompletionFunc("site", a.completeFrom(a.namesOf(garden.KindSite))))
	cobra.CheckErr(c.RegisterFlagCompletionFunc("tunnel", a.completeFrom(a.namesOf(garden.KindGarden))))
	cobra.CheckErr(c.RegisterFlagCompletionFunc("bed", a.completeFrom(a.bedNames)))
	cobra.CheckErr(c.RegisterFlagCompletionFunc("by", cobra.FixedCompletions([]string{"month", "week"}, cobra.ShellCompDirectiveNoFileComp)))
	return c
}

func (a *app) showWeatherDay(name string, f format) error {
	s, err := a.read(garden.Want{Kinds: diary.Needs(garden.KindWeather)})
	if err != nil {
		return err
	}
	rec, err := a.find(s, garden.KindWeather, name)
	if err != nil {
		return err
	}
	return a.show(s, rec, f)
}

// seasonShown is a season with what of it is shown.
type seasonShown struct {
	season.Season
	base   unit.Temperature
	sums   []season.Sum
	beds   []season.BedWater
	chosen bool // beds were asked for by name
	write  *diary.Writing
	today  bool // the season reaches to the present, so that advice can be followed
}

func (a *app) showSeason(o weatherShow) error {
	s, err := a.read(garden.Want{Kinds: seasonKinds})
	if err != nil {
		return err
	}
	shown, err := a.season(s, o)
	if err != nil {
		return err
	}
	switch {
	case o.json:
		return a.printSeasonJSON(shown)
	case o.csv && shown.chosen:
		return a.print(shown.spells(), o.format)
	case o.csv:
		return a.print(shown.weather(), o.format)
	}
	return a.printSeason(shown)
}

// stale is how many days old the last weather may be for advice on watering.
const stale = 14

// season works out what was asked for.
func (a *app) season(s *session, o weatherShow) (seasonShown, error) {
	out := seasonShown{write: s.writing(), chosen: o.bed != ""}
	c, err := a.context(s)
	if err != nil {
		return out, err
	}
	if o.by != "month" && o.by != "week" {
		return out, &usageError{text: fmt.Sprintf("weather show: --by is month or week, not %q", o.by)}
	}
	options, site, err := a.seasonOptions(s, o)
	if err != nil {
		return out, err
	}
	from, to, err := span(c, s, site, o)
	if err != nil {
		return out, err
	}
	if out.Season, err = season.Of(s.records, site, from, to, options); err != nil {
		return out, err
	}
	out.base, out.today = options.Base, !to.Before(s.today.AddDays(-stale))
	if out.sums = out.Months(); o.by == "week" {
		out.sums = out.Weeks()
	}
	return out, out.choose(c, o, options.Tunnel)
}

func (a *app) seasonOptions(s *session, o weatherShow) (season.Options, garden.SiteID, error) {
	var out season.Options
	site, err := a.siteNamed(s, o.site)
	if err != nil {
		return out, site, err
	}
	if out.Base, err = s.units.Temperature(o.base, "°C"); err != nil {
		return out, site, &garden.Error{Kind: garden.Invalid, Field: "base", Text: err.Error(), Cause: err}
	}
	if o.tunnel != "" {
		rec, err := a.find(s, garden.KindGarden, o.tunnel)
		if err != nil {
			return out, site, err
		}
		out.Tunnel = garden.GardenID(rec.Identity())
	}
	return out, site, nil
}

// span is the days asked for: the growing year, up to the last day of weather while it goes on.
func span(c diary.Context, s *session, site garden.SiteID, o weatherShow) (from, to civil.Date, err error) {
	if from, err = dayFlag(c, "from", o.from); err != nil {
		return from, to, err
	}
	if to, err = dayFlag(c, "to", o.to); err != nil {
		return from, to, err
	}
	starts := ask.Setup(s.records, s.today).Options.YearStart
	year := civil.GrowingYear{Month: time.Month(starts.Month), Day: starts.Day}
	last := civil.Date{}
	for _, d := range s.records.Weather {
		if d.Site == site && (last.IsZero() || d.Date.After(last)) && !d.Date.After(s.today) {
			last = d.Date
		}
	}
	n := cmp.Or(o.year, year.Of(s.today))
	if o.year == 0 && !last.IsZero() && from.IsZero() && year.Of(last) < n {
		n = year.Of(last)
	}
	if from.IsZero() {
		from = year.First(n)
	}
	if to.IsZero() {
		to = year.Last(n)
		if !last.IsZero() && to.After(last) && !last.Before(from) {
			to = last
		}
	}
	return from, to, nil
}

// choose keeps the crops of the beds asked for; under a cover those of its garden.
func (s *seasonShown) choose(c diary.Context, o weatherShow, tunnel garden.GardenID) error {
	s.beds = s.Beds
	if !tunnel.IsZero() {
		s.beds = slices.DeleteFunc(slices.Clone(s.beds), func(b season.BedWater) bool { return b.Bed.Garden != tunnel || !b.Bed.Tunnel })
	}
	if o.bed == "" {
		return nil
	}
	ids, err := diary.Beds(c, o.bed)
	if err != nil {
		return err
	}
	s.beds = slices.DeleteFunc(slices.Clone(s.beds), func(b season.BedWater) bool { return !slices.Contains(ids, b.Bed.ID) })
	if len(s.beds) == 0 {
		var why []string
		for _, reason := range slices.Sorted(maps.Keys(s.Left)) {
			why = append(why, fmt.Sprintf("of %s: %s", counted(s.Left[reason], "crop"), reason))
		}
		return &garden.Error{Kind: garden.Missing, Field: "bed", Text: "no water account of a crop in " + o.bed + " can be made in this span",
			Hint: strings.TrimSuffix("it takes a crop with a day of sowing, and weather from then on; "+word.And(why), "; ")}
	}
	return nil
}
