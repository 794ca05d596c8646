package reckon

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/crop"
	"fairplot/internal/source"
)

// paper is a sheet on which a calculation is written line by line, as one would by hand.
type paper struct{ lines []string }

// line writes one line; %v of a number writes four significant digits.
func (p *paper) line(format string, args ...any) {
	for i, a := range args {
		if x, ok := a.(float64); ok {
			args[i] = short(x)
		}
	}
	p.lines = append(p.lines, fmt.Sprintf(format, args...))
}

// short writes a number with four significant digits and no exponent.
func short(x float64) string {
	switch {
	case x == 0:
		return "0"
	case math.IsNaN(x) || math.IsInf(x, 0):
		return "?"
	}
	digits := max(0, 3-int(math.Floor(math.Log10(math.Abs(x)))))
	s := strconv.FormatFloat(x, 'f', digits, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// result is one number worked out, without a range.
func result(name string, value float64, unit, says string) Result {
	return Result{Name: name, Value: value, Unit: unit, Says: says}
}

// between is a number worked out with the range that it may as well have.
func between(name string, value, low, high float64, unit, says string) Result {
	return Result{Name: name, Value: value, Low: low, High: high, Unit: unit, Says: says}
}

// Amount writes the value with its unit and, where there is one, its range: "4.2 kg/m² (3.1 to 5.6)".
func (r Result) Amount() string {
	text := strings.TrimSpace(short(r.Value) + " " + r.Unit)
	if low, high := short(r.Low), short(r.High); (r.Low != 0 || r.High != 0) && low != high {
		text += fmt.Sprintf(" (%s to %s)", low, high)
	}
	return text
}

// worst returns the mark of the least checked figure, which is the mark of the whole answer.
func worst(marks ...source.Status) string {
	return string(slices.MaxFunc(marks, func(a, b source.Status) int { return a.Doubt() - b.Doubt() }))
}

// cite writes each source, given as a key with an address ("FAO56 eq. 6"), out in full.
func cite(addresses []string) []string {
	out := make([]string, len(addresses))
	for i, a := range addresses {
		key, _, _ := strings.Cut(a, " ")
		out[i] = a
		if key == crop.OwnSource {
			out[i] = "your own figure"
		}
		if s, ok := source.Find(key); ok {
			out[i] = a + ": " + s.Cite()
		}
	}
	return out
}
