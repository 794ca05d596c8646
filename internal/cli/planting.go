package cli

import (
	"maps"
	"slices"

	"fairplot/internal/ask"
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
	for _, planted := range practice.Of(records, ask.Setup(records, s.today).Options) {
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
