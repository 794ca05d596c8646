package cli

import (
	"maps"
	"slices"

	"fairplot/internal/crop"
	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/practice"

	"github.com/spf13/cobra"
)

// plantingActs are what is done to a crop between sowing and clearing.
var plantingActs = []func(*app) *cobra.Command{
	func(a *app) *cobra.Command {
		return actCommand(a, garden.KindPlanting, diary.Thin, "note a thinning: to how many plants, or to which distance",
			"fairplot planting thin 'terrace/4 parsnip' --plants 60 --date yesterday", "date", "plants", "in-row")
	},
	func(a *app) *cobra.Command {
		return actCommand(a, garden.KindPlanting, diary.Fill, "note that gaps were filled, and how many plants stand now",
			"fairplot planting fill 'terrace/4 leek' --plants 48", "date", "plants", "in-row")
	},
	func(a *app) *cobra.Command {
		return actCommand(a, garden.KindPlanting, diary.Resow, "note that it was sown again in the same place",
			"fairplot planting resow 'terrace/4 carrot' --plants 200", "date", "plants", "in-row")
	},
	func(a *app) *cobra.Command {
		return actCommand(a, garden.KindPlanting, diary.Stand, "note a count of the plants that stand",
			"fairplot planting stand 'terrace/4 parsnip' --plants 55", "date", "plants", "in-row")
	},
	func(a *app) *cobra.Command {
		return actCommand(a, garden.KindPlanting, diary.End, "note that the crop was cleared, and whether all of it was weighed",
			"fairplot planting end 'terrace/4 parsnip' --weighed all\n  fairplot planting end 'terrace/5 lettuce' --failed --why slugs --strikes-all no",
			"date", "weighed", "missed", "failed", "why", "strikes-all", "note")
	},
}

// whyPlanting is what a planting counts as in every practice, with the reasons, as lines of a table.
func (a *app) whyPlanting(s *session, p garden.Planting) ([][]string, error) {
	records, err := s.book.Read(a.ctx, garden.Want{})
	if err != nil {
		return nil, err
	}
	var out [][]string
	for _, planted := range practice.Of(records, practiceOptions(records)) {
		if planted.Planting.ID != p.ID {
			continue
		}
		for _, n := range slices.Sorted(maps.Keys(planted.Levels)) {
			level := planted.Levels[n]
			out = append(out, []string{string(n), level.String()})
			for _, why := range level.Why() {
				out = append(out, []string{"", "  " + why})
			}
		}
	}
	return out, nil
}

// practiceOptions are what the derivation of practices needs from the crops and the settings.
func practiceOptions(r garden.Records) practice.Options {
	own := map[string]garden.Crop{}
	for _, c := range r.Crops {
		own[garden.Fold(c.Name)] = c
	}
	return practice.Options{
		Perennial: func(name string) bool {
			if c, ok := own[garden.Fold(name)]; ok {
				return c.Perennial
			}
			c, ok := crop.Find(name)
			return ok && c.Life == crop.Perennial
		},
		Family: func(name string) string {
			if c, ok := own[garden.Fold(name)]; ok && c.Family != "" {
				return c.Family
			}
			c, _ := crop.Find(name)
			return c.Family
		},
		YearStart: yearStart(r),
	}
}

func yearStart(r garden.Records) garden.MonthDay {
	text := diary.SettingOf(r, garden.SettingYearStart)
	if len(text) != 5 {
		return garden.MonthDay{}
	}
	two := func(s string) int { return int(s[0]-'0')*10 + int(s[1]-'0') }
	return garden.MonthDay{Month: two(text[:2]), Day: two(text[3:])}
}
