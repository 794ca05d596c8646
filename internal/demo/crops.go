package demo

import (
	"time"

	"fairplot/internal/garden"
)

// species is how one crop runs in the demo: usual kg/m², plants/m², dates and pickings, all invented within common practice.
type species struct {
	name      string
	varieties []string
	kg        float64
	plants    float64
	start     garden.Start
	month     time.Month
	day       int
	ripe      int // days to the first picking
	picks     int
	every     int // days between pickings
	state     garden.State
	slugs     bool // a young stand that slugs take
}

var crops = []species{
	{"carrot", []string{"Amberlong", "Stub Russet"}, 4.4, 80, garden.Sown, time.April, 8, 105, 4, 16, garden.Topped, false},
	{"potato", []string{"Quarry Blue", "Early Fen"}, 3.4, 5, garden.SetOut, time.April, 14, 100, 3, 12, garden.AsLifted, false},
	{"onion", []string{"Saffron Globe", "Red Lantern"}, 3.3, 40, garden.SetOut, time.March, 28, 130, 1, 1, garden.Cured, false},
	{"beetroot", []string{"Inkwell", "Round Ember"}, 3.8, 45, garden.Sown, time.April, 20, 80, 4, 14, garden.Topped, false},
	{"lettuce", []string{"Pale Crest", "Copper Leaf"}, 2.6, 14, garden.SetOut, time.April, 25, 42, 3, 6, garden.Trimmed, true},
	{"bush bean", []string{"Linnet", "Streaked Dwarf"}, 1.7, 16, garden.Sown, time.May, 18, 62, 7, 4, garden.AsLifted, false},
	{"leek", []string{"Winter Mast", "Slim Heron"}, 3.1, 25, garden.SetOut, time.June, 2, 110, 4, 18, garden.Trimmed, false},
	{"kale", []string{"Black Frill", "Grey Plume"}, 2.4, 4, garden.SetOut, time.May, 22, 70, 7, 14, garden.Trimmed, false},
	{"parsnip", []string{"Ivory Stake", "Hollow Bell"}, 3.2, 30, garden.Sown, time.March, 30, 170, 3, 18, garden.Topped, false},
	{"squash", []string{"Lantern Gourd", "Green Saddle"}, 3.0, 1, garden.SetOut, time.May, 25, 95, 3, 10, garden.Cured, false},
	{"chard", []string{"Glass Stem", "Rib White"}, 3.3, 12, garden.Sown, time.April, 18, 65, 7, 11, garden.Trimmed, true},
	{"garlic", []string{"Moth White", "Autumn Star"}, 1.1, 35, garden.SetOut, time.October, 12, 265, 1, 1, garden.Cured, false},
}

// second are crops that follow an early one in the same bed and season: lettuce and chard, set later.
var second = []species{
	{"lettuce", []string{"Pale Crest", "Copper Leaf"}, 2.0, 14, garden.SetOut, time.August, 20, 45, 2, 7, garden.Trimmed, true},
	{"spinach", []string{"Broad Fen", "Night Leaf"}, 1.5, 60, garden.Sown, time.August, 24, 42, 3, 9, garden.Trimmed, false},
}
