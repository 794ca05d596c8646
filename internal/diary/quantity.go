package diary

import (
	"errors"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
)

// The readers of quantities and dates, in the shape that maybe wants; their errors carry a hint over.

func (r *reading) date(s string) (civil.Date, error) {
	if s == "" {
		return civil.Date{}, nil
	}
	if d, err := civil.Parse(s); err == nil {
		return d, nil // nearly every line of a file: the reader of words need not look
	}
	d, err := r.Dates.Date(s)
	return d, hinted(err)
}

func (r *reading) when(s string) (civil.When, error) {
	if s == "" {
		return civil.When{}, nil
	}
	if d, err := civil.Parse(s); err == nil {
		return civil.When{Date: d}, nil
	}
	d, err := r.Dates.When(s)
	return d, hinted(err)
}

// hinted turns the errors of the readers into those of records.
func hinted(err error) error {
	var ofDate *civil.Error
	var ofUnit *unit.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &ofDate):
		return &garden.Error{Kind: garden.Invalid, Text: ofDate.Text, Hint: ofDate.Hint, Cause: err}
	case errors.As(err, &ofUnit):
		return &garden.Error{Kind: garden.Invalid, Text: ofUnit.Text, Hint: ofUnit.Hint, Cause: err}
	}
	return err
}

func readMass(r *reading, s string) (unit.Mass, error) {
	q, err := r.Units.Mass(s, unit.NoDefault)
	return q, hinted(err)
}

func readLength(r *reading, s string) (unit.Length, error) {
	q, err := r.Units.Length(s, unit.NoDefault)
	return q, hinted(err)
}

func readArea(r *reading, s string) (unit.Area, error) {
	q, err := r.Units.Area(s, unit.NoDefault)
	return q, hinted(err)
}

func readVolume(r *reading, s string) (unit.Volume, error) {
	q, err := r.Units.Volume(s, unit.NoDefault)
	return q, hinted(err)
}

func readTime(r *reading, s string) (unit.Time, error) {
	q, err := r.Units.Time(s, unit.NoDefault)
	return q, hinted(err)
}

func readTemperature(r *reading, s string) (unit.Temperature, error) {
	q, err := r.Units.Temperature(s, unit.NoDefault)
	return q, hinted(err)
}

func readDensity(r *reading, s string) (unit.Density, error) {
	q, err := r.Units.Density(s, unit.NoDefault)
	return q, hinted(err)
}

func readMoney(r *reading, s string) (unit.Money, error) {
	q, err := r.Units.Money(s)
	return q, hinted(err)
}

func readNumber(r *reading, s string) (float64, error) {
	x, err := r.Units.Number(s)
	return x, hinted(err)
}

func readShare(r *reading, s string) (float64, error) {
	x, err := r.Units.Share(s, unit.NoDefault)
	return x, hinted(err)
}

func mass[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[unit.Mass]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Quantity, Unit: "kg"}, at, readMass, (*Writing).mass)
}

func length[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[unit.Length]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Quantity, Unit: "m"}, at, readLength, (*Writing).length)
}

func area[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[unit.Area]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Quantity, Unit: "m2"}, at, readArea, (*Writing).area)
}

func volume[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[unit.Volume]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Quantity, Unit: "m3"}, at, readVolume, (*Writing).volume)
}

// plain writes a number so that reading it gives the same bits: no exponent, and never exactly three digits behind the
// mark, which a reader of files would have to ask about.
func plain(x float64) string {
	s := unit.Full(x)
	if i := strings.IndexByte(s, '.'); i >= 0 && len(s)-i-1 == 3 {
		s += "0"
	}
	return s
}
