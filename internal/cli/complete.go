package cli

import (
	"fmt"
	"slices"

	"fairplot/internal/crop"
	"fairplot/internal/diary"
	"fairplot/internal/evidence"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

type completion = func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective)

// completeField offers what the field can hold, names from the book included; nil if there is nothing to offer.
func (a *app) completeField(f diary.Field) completion {
	switch f.Type {
	case diary.Word:
		return cobra.FixedCompletions(f.Words, cobra.ShellCompDirectiveNoFileComp)
	case diary.YesNo, diary.YesNoUnsaid:
		return cobra.FixedCompletions([]string{"yes", "no"}, cobra.ShellCompDirectiveNoFileComp)
	case diary.BedType, diary.BedsType:
		return a.completeFrom(a.bedNames)
	case diary.GardenType:
		return a.completeFrom(a.namesOf(garden.KindGarden))
	case diary.SiteType:
		return a.completeFrom(a.namesOf(garden.KindSite))
	case diary.PlantingType:
		return a.completeFrom(a.plantingNames)
	case diary.CropType:
		return a.completeFrom(a.cropNames)
	case diary.Day:
		return cobra.FixedCompletions([]string{"today", "yesterday"}, cobra.ShellCompDirectiveNoFileComp)
	}
	return cobra.NoFileCompletions
}

// completeArgument offers what can be said with a question.
func (a *app) completeArgument(name string) completion {
	switch name {
	case "crop":
		return a.completeFrom(a.grownNames)
	case "gardens":
		return a.completeFrom(a.namesOf(garden.KindGarden))
	case "per":
		return cobra.FixedCompletions([]string{string(evidence.PerBed), string(evidence.PerGround)}, cobra.ShellCompDirectiveNoFileComp)
	case "response":
		return cobra.FixedCompletions(evidence.Responses(), cobra.ShellCompDirectiveNoFileComp)
	}
	return cobra.NoFileCompletions
}

// completeTargets offers the names of the records of a kind.
func (a *app) completeTargets(k garden.Kind) completion {
	switch k {
	case garden.KindBed:
		return a.completeFrom(a.bedNames)
	case garden.KindPlanting:
		return a.completeFrom(a.plantingNames)
	}
	return a.completeFrom(a.targets(k))
}

// completeFrom offers nothing where there is no book to read: a completion is no place for messages.
func (a *app) completeFrom(names func() ([]string, error)) completion {
	return func(*cobra.Command, []string, string) ([]cobra.Completion, cobra.ShellCompDirective) {
		list, err := names()
		if err != nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return list, cobra.ShellCompDirectiveNoFileComp
	}
}

func (a *app) bedNames() ([]string, error) {
	s, err := a.read(garden.Want{Kinds: []garden.Kind{garden.KindGarden, garden.KindBed}})
	if err != nil {
		return nil, err
	}
	var out []string
	for _, b := range s.records.Beds {
		if b.Stood(s.today) {
			out = append(out, s.x.BedName(b.ID))
		}
	}
	return out, nil
}

func (a *app) plantingNames() ([]string, error) {
	s, err := a.read(garden.Want{Kinds: []garden.Kind{garden.KindGarden, garden.KindBed, garden.KindPlanting}})
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range s.records.Plantings {
		if p.Stood(s.today) {
			out = append(out, s.x.BedName(p.Bed)+" "+p.Crop)
		}
	}
	return out, nil
}

// grownNames are the crops that stand or stood in a bed of the book.
func (a *app) grownNames() ([]string, error) {
	s, err := a.read(garden.Want{Kinds: []garden.Kind{garden.KindPlanting}})
	if err != nil {
		return nil, err
	}
	var out []string
	for _, p := range s.records.Plantings {
		out = append(out, p.Crop)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// cropNames are those of the book before the built-in ones.
func (a *app) cropNames() ([]string, error) {
	var out []string
	if s, err := a.read(garden.Want{Kinds: []garden.Kind{garden.KindCrop}}); err == nil {
		out = s.x.Names(garden.KindCrop)
	}
	if grown, err := a.grownNames(); err == nil {
		out = append(out, grown...)
	}
	for _, c := range crop.All() {
		out = append(out, c.Name)
	}
	return unique(out), nil
}

// unique keeps the first of each name, in their order.
func unique(names []string) []string {
	had := map[string]bool{}
	return slices.DeleteFunc(names, func(name string) bool {
		again := had[garden.Fold(name)]
		had[garden.Fold(name)] = true
		return again
	})
}

func (a *app) namesOf(k garden.Kind) func() ([]string, error) {
	return func() ([]string, error) {
		s, err := a.read(garden.Want{Kinds: []garden.Kind{k}})
		if err != nil {
			return nil, err
		}
		return s.x.Names(k), nil
	}
}

// targets offers names, or short ids with a few words beside them for records that have none; the newest come first.
func (a *app) targets(k garden.Kind) func() ([]string, error) {
	const most = 40
	return func() ([]string, error) {
		s, err := a.read(garden.Want{Kinds: diary.Needs(k)})
		if err != nil {
			return nil, err
		}
		list := s.records.List(k)
		var out []string
		for i := len(list) - 1; i >= 0 && len(out) < most; i-- {
			if name := garden.Name(list[i]); name != "" {
				out = append(out, name)
				continue
			}
			out = append(out, fmt.Sprintf("%s\t%s", diary.Short(list[i].Identity()), diary.NameOf(s.writing(), list[i])))
		}
		return out, nil
	}
}
