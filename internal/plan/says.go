package plan

import (
	"fmt"
	"strings"

	"fairplot/internal/word"
)

var numbers = []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}

func number(n int) string {
	if n >= 0 && n < len(numbers) {
		return numbers[n]
	}
	return fmt.Sprint(n)
}

// says tells the trial in one breath, and how surely it would show what matters.
func (t Trial) says(w Wanted) string {
	w = w.whole()
	return fmt.Sprintf("%s. If the difference is really %.3g %%, this shows it in %s.%s%s", t.breath(w), 100*w.Matters, times(t.Power), t.more(w), w.borrowed(t.Design))
}

// more tells what all the beds of the garden could show in as many seasons, where the trial leaves some of them free.
func (t Trial) more(w Wanted) string {
	if t.Room <= t.Blocks {
		return ""
	}
	beds := t.Room
	if t.Design == Blocks {
		beds *= len(t.Ways)
	}
	return fmt.Sprintf(" %s there, used so for as long, would show %.2g %%.", upper(allBeds(beds)), 100*w.Detectable(t.Design, t.Room*t.Seasons))
}

// breath is the trial itself: "Six beds of yours in terrace, each cut in half, one half double dug and one undisturbed, for two seasons".
func (t Trial) breath(w Wanted) string {
	beds := number(len(t.Ground.Beds)) + " beds of yours in " + t.Ground.Garden
	if w.Crop != "" {
		beds += ", all " + w.Crop
	}
	years := "for " + number(t.Seasons) + " seasons"
	if t.Seasons == 1 {
		years = "for one season"
	}
	return upper(fmt.Sprintf("%s, %s, %s, drawn by lot", beds, t.shares(), years))
}

// shares tells how the ways lie on the beds.
func (t Trial) shares() string {
	k := len(t.Ways)
	var piece, cut string
	switch {
	case t.Design == SplitBeds && k == 2:
		piece, cut = "half", "each cut in half"
	case t.Design == SplitBeds:
		piece, cut = "part", "each cut in "+number(k)
	case k == 2:
		piece, cut = "bed", "taken in pairs of neighbours"
	default:
		piece, cut = "bed", "taken in groups of "+number(k)+" neighbours"
	}
	ways := make([]string, k)
	for i, way := range t.Ways {
		ways[i] = "one " + way
	}
	ways[0] = "one " + piece + " " + t.Ways[0]
	return cut + ", " + word.And(ways)
}

// times says a chance as one says it of trials: "four trials of five".
func times(power float64) string {
	switch {
	case power >= 0.95:
		return "nineteen such trials of twenty"
	case power >= 0.9:
		return "nine such trials of ten"
	}
	return "four such trials of five"
}

// borrowed marks a spread that is not the grower's own.
func (w Wanted) borrowed(d Design) string {
	key := w.spread(d).Source
	if key == "" {
		return ""
	}
	return fmt.Sprintf(" Your records show too little of how much like beds differ, so a published figure stands in (%s): take these numbers as rough.", key)
}

// tooLittle says what the ground could show where it cannot show what matters.
func (w Wanted) tooLittle(t Trial, difference float64) string {
	share := fmt.Sprintf("%.2g %%", 100*difference)
	if difference >= 1 {
		share = fmt.Sprintf("%.1f times", 1+difference)
	}
	return fmt.Sprintf("Even %s in %s, %s, for %s seasons, would show no difference smaller than %s.%s",
		allBeds(len(t.Ground.Beds)), t.Ground.Garden, t.shares(), number(t.Seasons), share, w.borrowed(t.Design))
}

// allBeds is "the one bed", "both beds", "all three beds".
func allBeds(n int) string {
	switch n {
	case 1:
		return "the one bed"
	case 2:
		return "both beds"
	}
	return "all " + number(n) + " beds"
}

func upper(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
