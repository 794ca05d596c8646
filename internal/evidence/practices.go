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

// KnownResponse reports whether the name is one of the responses.
func KnownResponse(name string) bool {
	_, ok := responses[responseKey(name)]
	return ok && (responseKey(name) == name) != (name == Measured || name == Counted)
}
