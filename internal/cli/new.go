package cli

import (
	"errors"
	"os"
	"path/filepath"

	"fairplot/internal/book"
	"fairplot/internal/diary"
	"fairplot/internal/garden"

	"github.com/spf13/cobra"
)

// newCommand makes a book. The settings may wait: nothing needs them before the first weighing.
func newCommand(a *app) *cobra.Command {
	c := &cobra.Command{
		Use: "new FILE", Short: "make a new book", GroupID: groupBook, Args: exactly("FILE"),
		Example: "  fairplot new garden.fairplot\n  fairplot new garden.fairplot --units us --dates month-first --currency USD",
		RunE: func(c *cobra.Command, args []string) error {
			return a.makeBook(args[0], given(c))
		},
	}
	c.Flags().String(garden.SettingUnits, "", "metric or us")
	c.Flags().String(garden.SettingDates, "", "how 03/04/2026 is meant: day-first or month-first; else it is refused")
	c.Flags().String(garden.SettingCurrency, "", "the three letters of the currency, such as EUR")
	c.Flags().String(garden.SettingYearStart, "", "the day on which the growing year begins, such as 07-01 in the south")
	return c
}

func (a *app) makeBook(name string, settings map[string]string) error {
	if filepath.Ext(name) == "" {
		name += extension
	}
	path := a.path(name)
	b, err := book.Create(a.ctx, path, a.bookOptions())
	if err != nil {
		return err
	}
	a.opened = b
	if err := a.keepSettings(settings); err != nil {
		return errors.Join(err, a.close(), os.Remove(path))
	}
	a.words("the book %s is ready; note the first weighing with:", name)
	a.words("  fairplot harvest add --bed kitchen/1 --crop carrot --mass 2kg")
	return nil
}

func (a *app) keepSettings(settings map[string]string) error {
	s, err := a.read(garden.Want{})
	if err != nil {
		return err
	}
	c, err := a.context(s)
	if err != nil {
		return err
	}
	for name, value := range settings {
		out, err := diary.Understand(c, diary.Draft{Action: diary.Add, Kind: garden.KindSetting, Fields: map[string]string{"name": name, "value": value}})
		if err != nil {
			return err
		}
		if receipts, err := s.book.CopyIn(a.ctx, out.Operations, nil); err != nil {
			return a.refusedBecause(err, receipts)
		}
	}
	return nil
}
