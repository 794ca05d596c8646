package crop

import (
	"fairplot/internal/source"
	"fairplot/internal/unit"
)

// Crowded is what a published trial found of how closely a crop may stand.
type Crowded struct {
	Crop      string
	For       string // what it is best for
	Low, High unit.Crowding
	Source    string
	Status    source.Status
}

// Crowdings returns the published findings on the crop, read in abstracts.
func (c Crop) Crowdings() []Crowded {
	var out []Crowded
	for _, d := range crowdings {
		if d.Crop == c.Name {
			out = append(out, d)
		}
	}
	return out
}

var crowdings = []Crowded{
	{"onion", "most marketable weight", 80, 100, "RUMPEL", "V"},
	{"onion", "large bulbs", 20, 40, "RUMPEL", "V"},
	{"onion", "small bulbs", 140, 140, "RUMPEL", "V"},
	{"onion", "pickling size, 25 to 45 mm", 625, 625, "MCGEARY1985", "V"},
	{"parsnip", "roots thicker than 5 cm", 22, 22, "PARSNIP1966", "V"},
	{"parsnip", "roots of 4 to 6 cm", 43, 65, "PARSNIP1966", "V"},
	{"carrot", "total weight alike over the whole range", 108, 1553, "SALTER", "V"},
	{"cabbage", "heads above 1 kg and even, at 4.1 or fewer", 2.46, 4.1, "STOFFELLA1990", "V"},
	{"cauliflower", "large heads", 2, 2, "KZN", "V"},
	{"cauliflower", "small heads", 3, 3.5, "KZN", "V"},
}
