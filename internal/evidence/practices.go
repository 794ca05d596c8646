package evidence

import "fairplot/internal/practice"

// Practices lists what can be compared, the most asked first.
func Practices() []practice.Name {
	out := []practice.Name{Gardens, practice.Cultivation, practice.Compost, practice.Spacing, practice.Variety, practice.Manure, practice.Fertiliser,
		practice.Cover, practice.StartedAs, practice.SowingDay, practice.Arrangement, practice.Rectangularity, practice.Companions,
		practice.PreviousFamily, practice.SinceDeepDug, practice.SinceFirstDug, practice.OwnCultivation, practice.WorkTime,
		practice.Water, practice.Rain, practice.StandingPlants}
	for _, class := range []practice.Name{practice.Compost, practice.Manure, practice.Fertiliser} {
		out = append(out, practice.Later(class), practice.Residual(class))
	}
	return out
}

// KnownResponse reports whether the name is one of the responses; what is measured or counted must be said with it.
func KnownResponse(name string) bool {
	if name == Measured || name == Counted {
		return false
	}
	_, ok := responses[responseKey(name)]
	return ok && subject(name) != ""
}

// ReadOff returns the kind of reading, Measured or Counted, and its subject, of a response that is read off plantings; empty for the others.
func ReadOff(response string) (kind, what string) {
	if kind = responseKey(response); kind == response {
		return "", ""
	}
	return kind, subject(response)
}
