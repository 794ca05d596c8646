package reckon

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/unit"
)

// Values are the inputs of one calculation as they were read, each in its input's own unit.
type Values struct {
	inputs []Input
	got    map[string]value
}

// value is one input as read.
type value struct {
	num   float64 // in the input's unit; a share as a fraction of 1
	word  string
	date  civil.Date
	said  string // as understood
	given bool   // written by the asker, not the default
}

// Given reports whether the input was written, by the asker or as a default.
func (v Values) Given(name string) bool { _, ok := v.got[name]; return ok }

// Chosen reports whether the asker wrote the input, rather than leaving it to the default.
func (v Values) Chosen(name string) bool { return v.got[name].given }

// Num returns the number in the input's own unit; a share is a fraction of 1. It is 0 for what was not given.
func (v Values) Num(name string) float64 { return v.of(name).num }

// Word returns the word chosen, in the spelling of the list.
func (v Values) Word(name string) string { return v.of(name).word }

// Text returns a text as it was written.
func (v Values) Text(name string) string { return v.of(name).word }

// Date returns the date.
func (v Values) Date(name string) civil.Date { return v.of(name).date }

// Said returns the input as understood, "1.5 kg".
func (v Values) Said(name string) string { return v.of(name).said }

// Length returns a length or depth.
func (v Values) Length(name string) unit.Length { return unit.Length(v.si(name)) }

// Area returns an area.
func (v Values) Area(name string) unit.Area { return unit.Area(v.si(name)) }

// Volume returns a volume.
func (v Values) Volume(name string) unit.Volume { return unit.Volume(v.si(name)) }

// Mass returns a mass.
func (v Values) Mass(name string) unit.Mass { return unit.Mass(v.si(name)) }

// Time returns a span of time.
func (v Values) Time(name string) unit.Time { return unit.Time(v.si(name)) }

// Density returns a mass per volume.
func (v Values) Density(name string) unit.Density { return unit.Density(v.si(name)) }

// Temperature returns a temperature.
func (v Values) Temperature(name string) unit.Temperature { return unit.Temperature(v.si(name)) }

// of returns a value; naming an input that the calculator does not have is a mistake of its author.
func (v Values) of(name string) value {
	v.input(name)
	return v.got[name]
}

func (v Values) input(name string) Input {
	for _, in := range v.inputs {
		if in.Name == name {
			return in
		}
	}
	panic("reckon: no input " + name)
}

// si returns the number in the SI unit of its kind.
func (v Values) si(name string) float64 {
	in := v.input(name)
	return toSI(in.Kind, v.got[name].num, in.Unit)
}

func (v Values) said() map[string]string {
	out := make(map[string]string, len(v.got))
	for name, x := range v.got {
		out[name] = x.said
	}
	return out
}

// read reads and checks the inputs of the calculator.
func (c Calculator) read(inputs map[string]string) (Values, error) {
	v := Values{inputs: c.Inputs, got: map[string]value{}}
	written, err := c.named(inputs)
	if err != nil {
		return v, err
	}
	for _, in := range c.Inputs {
		text, given := written[in.Name]
		if !given {
			text = in.Default
		}
		if text == "" {
			if in.Optional {
				continue
			}
			return v, refuse(in.Name, "it is needed: "+in.Says, c.exampleOf(in))
		}
		x, err := in.read(text)
		if err != nil {
			return v, err
		}
		x.given = given
		v.got[in.Name] = x
	}
	return v, nil
}

// exampleOf shows how the input is written in the worked example.
func (c Calculator) exampleOf(in Input) string {
	if e := c.Example[in.Name]; e != "" {
		return fmt.Sprintf("write for example %s=%q", in.Name, e)
	}
	return ""
}

// named returns what was written by the names of the inputs; spaces and capitals in a name do not matter.
func (c Calculator) named(inputs map[string]string) (map[string]string, error) {
	var names []string
	for _, in := range c.Inputs {
		names = append(names, in.Name)
	}
	out := map[string]string{}
	for _, key := range sortedKeys(inputs) {
		name := plainName(key)
		if !slices.Contains(names, name) {
			return nil, refuse(key, fmt.Sprintf("%s has no input of this name", c.Name), offer(key, names))
		}
		if text := strings.TrimSpace(inputs[key]); text != "" {
			out[name] = text
		}
	}
	return out, nil
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
