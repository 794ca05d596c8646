// Package spacing is the geometry of plants on a bed and what crowding does to them: plants on a bed of real size for rows, square
// and triangular layouts with their edges, rectangularity, the published laws of yield against density, and the seed to buy. It
// knows no crop: distances and laws are handed in.
package spacing

import (
	"fmt"
	"math"

	"fairplot/internal/unit"
)

// Arrangement is how plants stand to each other.
type Arrangement string

// The arrangements.
const (
	Rows       Arrangement = "rows"
	Square     Arrangement = "square"
	Triangular Arrangement = "triangular"
)

// Layout is an arrangement with its distances. Square and triangular need only InRow.
type Layout struct {
	Arrangement Arrangement
	InRow       unit.Length
	Between     unit.Length
	Edge        unit.Length // kept between the rim and the outer plants; 0: half the distance on that side
	AcrossBed   bool        // rows run across the bed, not along it
}

// rowStep is the distance of rows in a triangular layout over that of plants: half the root of three.
const rowStep = 0.8660254037844386

// slack lets a row that ends exactly on the rim count, whatever the arithmetic leaves.
const slack = 1e-9

// Bed is a rectangle that is planted.
type Bed struct{ Length, Width unit.Length }

// Area returns the bed's area.
func (b Bed) Area() unit.Area { return b.Length.Times(b.Width) }

// Plan is the plants on a bed.
type Plan struct {
	PerRow   []int // plants of each row, in order
	Plants   int
	OnEdge   int           // plants of the outer rows and at the ends of the others: they have more light and room
	Crowding unit.Crowding // plants per area of this bed
	Endless  unit.Crowding // the same layout on ground without edges
	Between  unit.Length   // distance of rows
	Margin   unit.Length   // ground left beyond the last row by what does not divide
}

// check refuses distances and beds that cannot be.
func (l Layout) check(b Bed) error {
	switch {
	case b.Length <= 0 || b.Width <= 0:
		return fmt.Errorf("the bed needs a length and a width above 0")
	case l.InRow <= 0:
		return fmt.Errorf("the distance between plants must be above 0")
	case l.Arrangement == Rows && l.Between <= 0:
		return fmt.Errorf("rows need the distance between rows, above 0")
	case l.Edge < 0:
		return fmt.Errorf("the distance from the rim must not be negative")
	}
	switch l.Arrangement {
	case Rows, Square, Triangular:
		return nil
	}
	return fmt.Errorf("arrangement %q: it is rows, square or triangular", l.Arrangement)
}

// between returns the distance of rows.
func (l Layout) between() unit.Length {
	switch l.Arrangement {
	case Rows:
		return l.Between
	case Triangular:
		return l.InRow * rowStep
	}
	return l.InRow
}

// Crowding returns the plants per area on ground without edges: 1/(s r).
func (l Layout) Crowding() unit.Crowding {
	return unit.Crowding(1 / (float64(l.InRow) * float64(l.between())))
}

// Rectangularity returns the longer over the shorter of the distances between and in rows: 1 is square. Equal crowding may have
// any rectangularity: 100 plants/m² stand at 1000 × 10, 500 × 20 and 100 × 100 mm (KZN).
func (l Layout) Rectangularity() float64 {
	if l.Arrangement == Triangular {
		return 1
	}
	a, b := float64(l.InRow), float64(l.between())
	return max(a, b) / min(a, b)
}

// On returns the plants of the layout on the bed. Rows: floor((W − 2m)/r) + 1; BAILEY and WEATHERS1913 print the endless case and
// CSU-713 a bed of 3 × 2 ft.
func (l Layout) On(b Bed) (Plan, error) {
	if err := l.check(b); err != nil {
		return Plan{}, err
	}
	along, across := b.Length, b.Width
	if l.AcrossBed {
		along, across = across, along
	}
	r := l.between()
	sideEdge, endEdge := l.edges(r)
	p := Plan{Between: r, Endless: l.Crowding()}
	rows := fit(across, sideEdge, r)
	for i := range rows {
		shift := unit.Length(0)
		if l.Arrangement == Triangular && i%2 == 1 {
			shift = l.InRow / 2
		}
		p.PerRow = append(p.PerRow, fit(along-shift, endEdge, l.InRow))
	}
	for i, n := range p.PerRow {
		p.Plants += n
		if i == 0 || i == rows-1 {
			p.OnEdge += n
		} else {
			p.OnEdge += min(n, 2)
		}
	}
	if rows > 0 {
		p.Margin = across - sideEdge - unit.Length(float64(rows-1))*r
	}
	p.Crowding = unit.Crowding(float64(p.Plants) / float64(b.Area()))
	return p, nil
}

func (l Layout) edges(r unit.Length) (side, end unit.Length) {
	if l.Edge > 0 {
		return l.Edge, l.Edge
	}
	if l.Arrangement == Triangular {
		return l.InRow / 2, l.InRow / 2
	}
	return r / 2, l.InRow / 2
}

// fit returns how many steps of the distance find room, the first and last at least edge from the rims.
func fit(room, edge, step unit.Length) int {
	free := float64(room - 2*edge)
	if free < -slack {
		return 0
	}
	return int(math.Floor(free/float64(step)+slack)) + 1
}

// EquidistantFor returns the square or triangular distance that gives the crowding.
func EquidistantFor(c unit.Crowding, a Arrangement) (unit.Length, error) {
	if c <= 0 {
		return 0, fmt.Errorf("plants per area must be above 0")
	}
	area := 1 / float64(c)
	if a == Triangular {
		area /= rowStep
	}
	return unit.Length(math.Sqrt(area)), nil
}
