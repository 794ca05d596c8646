package cli

import (
	"fairplot/internal/diary"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

// sortOutCommand lists the harvests that belong to no planting yet, and places them.
func sortOutCommand(a *app) *cobra.Command {
	var f format
	c := &cobra.Command{
		Use: "sort-out [HARVEST]", Short: "place the harvests whose bed or crop was not known", GroupID: groupRecords,
		Long: "Without a harvest: lists those that wait. They count in totals and enter no comparison until they are placed.\n" +
			"With one: places it in a planting, or splits it over its beds by area, by plants or by hand.",
		Example: "  fairplot sort-out\n  fairplot sort-out 4b1c2d3e --planting 'terrace/4 parsnip'\n  fairplot sort-out 4b1c2d3e --bed terrace/1-3 --split area\n" +
			"  fairplot sort-out 4b1c2d3e --bed terrace/1-2 --split hand --parts '2 kg; 1.5 kg'",
		Args: between(0, "HARVEST"), ValidArgsFunction: a.completeTargets(garden.KindHarvest),
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return a.listUnplaced(f)
			}
			fields := given(c)
			delete(fields, "json")
			delete(fields, "csv")
			return a.decide(diary.Draft{Action: diary.Place, Kind: garden.KindHarvest, Target: args[0], Fields: fields})
		},
	}
	var some []diary.Field
	for _, field := range diary.Fields(garden.KindHarvest) {
		switch field.Name {
		case "planting", "bed", "crop", "split", "parts":
			some = append(some, field)
		}
	}
	fieldFlags(a, c, some)
	f.flags(c)
	return c
}

func (a *app) listUnplaced(f format) error {
	s, err := a.read(garden.Want{Kinds: diary.Needs(garden.KindHarvest)})
	if err != nil {
		return err
	}
	var list []garden.Record
	for _, h := range diary.ToSortOut(s.x) {
		list = append(list, h)
	}
	if len(list) == 0 && !f.json && !f.csv {
		a.words("nothing waits to be sorted out")
	}
	t, err := tableOf(s, garden.KindHarvest, list, f)
	if err != nil {
		return err
	}
	return a.print(t, f)
}
