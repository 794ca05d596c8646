package web

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// walked lists the beds of now in walking order: first those that the grower's setting names, a garden standing for all of its beds that have
// no place of their own, then the others by garden and number.
func walked(x *garden.Index) []garden.Bed {
	var beds []garden.Bed
	for _, g := range gardensByName(x) {
		in := x.BedsOf(g.ID)
		slices.SortStableFunc(in, func(a, b garden.Bed) int { return byNumber(a.Name, b.Name) })
		beds = append(beds, slices.DeleteFunc(in, func(b garden.Bed) bool { return !b.To.IsZero() })...)
	}
	place := map[string]int{} // by folded name
	for i, name := range strings.Split(diary.SettingOf(settingsOf(x), garden.SettingWalk), ",") {
		if name = garden.Fold(name); name != "" && place[name] == 0 {
			place[name] = i + 1
		}
	}
	at := func(b garden.Bed) int {
		name := x.BedName(b.ID)
		of, _, _ := strings.Cut(name, "/")
		for _, n := range []string{name, of} {
			if i := place[garden.Fold(n)]; i > 0 {
				return i
			}
		}
		return math.MaxInt // after all that have a place
	}
	slices.SortStableFunc(beds, func(a, b garden.Bed) int { return cmp.Compare(at(a), at(b)) })
	return beds
}

// byNumber compares names so that 2 comes before 10.
func byNumber(a, b string) int {
	for a != "" && b != "" {
		x, restA := digits(a)
		y, restB := digits(b)
		if x != "" && y != "" {
			if c := cmp.Or(len(x)-len(y), cmp.Compare(x, y)); c != 0 {
				return c
			}
			a, b = restA, restB
			continue
		}
		if a[0] != b[0] {
			return cmp.Compare(a[0], b[0])
		}
		a, b = a[1:], b[1:]
	}
	return len(a) - len(b)
}

// digits splits the figures off the front, without leading noughts.
func digits(s string) (figures, rest string) {
	n := len(s) - len(strings.TrimLeft(s, "0123456789"))
	if n == 0 {
		return "", s
	}
	figures = strings.TrimLeft(s[:n], "0")
	if figures == "" {
		figures = "0"
	}
	return figures, s[n:]
}

// gardensByName lists the gardens in the order of the walk.
func gardensByName(x *garden.Index) []garden.Garden {
	var out []garden.Garden
	for _, id := range x.All(garden.KindGarden) {
		if g, ok := garden.Find(x, garden.GardenID(id)); ok && g.To.IsZero() {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b garden.Garden) int { return byNumber(a.Name, b.Name) })
	return out
}
