package ask

import (
	"fmt"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/tally"
)

func tallyQuestion() Question {
	return Question{
		Name: "tally", Head: "How did it go?",
		Example: "tally --season 2025 --crop carrot",
		Arguments: []Argument{
			{Name: "season", Says: "the growing year, else the last in which anything was picked", Example: "2025"},
			{Name: "crop", Says: "only these crops", Example: "carrot,parsnip", Many: true},
			{Name: "gardens", Says: "only these gardens", Example: "terrace", Many: true},
		},
		Reads: readsOfTally, Run: runTally,
	}
}

func runTally(c Call) (Reply, error) {
	want := tally.Wanted{Today: c.Setup.Today, Options: c.Setup.Options, System: diary.Units(c.Records).System}
	seasons, err := years(c.Said["season"])
	if err != nil {
		return Reply{}, err
	}
	switch {
	case len(seasons) == 1:
		want.Season = seasons[0]
	case len(seasons) > 1:
		return Reply{}, &garden.Error{Kind: garden.Invalid, Field: "season", Text: fmt.Sprintf("%q is more than one growing year", c.Said["season"]), Hint: "give one, such as 2025"}
	}
	if want.Crops, err = known("crop", list(c.Said["crop"]), cropsOf(c.Records)); err != nil {
		return Reply{}, err
	}
	if want.Gardens, err = known("garden", list(c.Said["gardens"]), gardensOf(c.Records)); err != nil {
		return Reply{}, err
	}
	return Reply{Finding: tally.Of(c.Records, want)}, nil
}
