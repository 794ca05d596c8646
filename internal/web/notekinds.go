package web

import (
	"slices"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
)

// noteKind is one kind of entry noted among the beds, with the few fields that are asked for there.
type noteKind struct {
	name   string // in the address
	kind   garden.Kind
	action diary.Action
	says   string // in the list
	save   string // on the button
	told   string // names of the fields that tell what was noted
	fields []noteField
}

// noteField is one field of a form. Shape decides the piece of the page it is drawn with.
type noteField struct {
	Name, Label, Hint string
	Shape             string   // beds, standing, tiles, choose, number, loads, clock, text, long, day, picture, weighed
	Words             []string // for tiles
	Unit              string   // in which a bare number is understood
	Need              string   // what to say if it is left empty, "" for a field that may be
	Last              bool     // what was chosen last time is chosen again

	Choices []choice // filled in from the records
}

type choice struct{ Value, Says, Group string }

func words[T ~string](of ...T) []string {
	var out []string
	for _, w := range of {
		out = append(out, string(w))
	}
	return out
}

var (
	someBeds = noteField{Name: "bed", Label: "Beds", Shape: "beds", Need: "Choose at least one bed."}
	anyBeds  = noteField{Name: "bed", Label: "Beds", Hint: "none if you don't know", Shape: "beds"}
	onDay    = noteField{Name: "date", Label: "When", Shape: "day"}
	standing = noteField{Name: "target", Label: "Which crop", Shape: "standing", Need: "Choose a crop."}
	ofCrop   = noteField{Name: "planting", Label: "Which crop", Shape: "standing", Need: "Choose a crop."}
	plants   = noteField{Name: "plants", Label: "Plants that stand now", Shape: "number"}
	inRow    = noteField{Name: "in-row", Label: "Plant to plant in the row", Shape: "number", Unit: "cm", Last: true}
)

// noteKinds are the kinds in the order of the list.
var noteKinds = []noteKind{
	{"sow", garden.KindPlanting, diary.Add, "Sow or set out", "Save the sowing", "crop bed date", []noteField{
		{Name: "crop", Label: "Crop", Shape: "choose", Need: "Say which crop."},
		{Name: "variety", Label: "Variety", Shape: "text"},
		{Name: "start", Label: "How", Shape: "tiles", Words: words(garden.Sown, garden.SetOut), Last: true},
		someBeds, onDay,
		{Name: "between-rows", Label: "Row to row", Shape: "number", Unit: "cm", Last: true}, inRow,
		{Name: "plants", Label: "Plants in each bed", Shape: "number"},
	}},
	{"thin", garden.KindPlanting, diary.Thin, "Thinned", "Save the thinning", "target plants in-row", []noteField{standing, plants, {Name: "in-row", Label: "or the distance they stand at now", Shape: "number", Unit: "cm"}, onDay}},
	{"gaps", garden.KindPlanting, diary.Fill, "Gaps filled", "Save the filling", "target plants", []noteField{standing, plants, onDay}},
	{"standing", garden.KindPlanting, diary.Stand, "Counted what stands", "Save the count", "target plants", []noteField{standing, plants, onDay}},
	{"finished", garden.KindPlanting, diary.End, "Finished", "Save that it is finished", "target weighed", []noteField{standing, onDay,
		{Name: "weighed", Label: "How much of it was weighed?", Shape: "weighed", Need: "Choose one."}}},
	{"dig", garden.KindCultivation, diary.Add, "Dug or loosened", "Save the digging", "how bed depth", []noteField{
		{Name: "how", Label: "How", Shape: "choose", Words: words(garden.DoubleDug, garden.SingleDug, garden.Broadforked, garden.Forked, garden.Tilled, garden.Hoed, garden.Raked, garden.Undisturbed), Need: "Say how.", Last: true},
		someBeds, {Name: "depth", Label: "How deep", Hint: "its usual depth if left empty", Shape: "number", Unit: "cm"}, onDay}},
	{"compost", garden.KindAmendment, diary.Add, "Compost and feed", "Save", "amount material bed", []noteField{
		{Name: "material", Label: "What", Shape: "choose", Need: "Say what it was.", Last: true},
		{Name: "amount", Label: "How much, for all these beds together", Shape: "loads", Need: "Say how much."}, someBeds,
		{Name: "placement", Label: "Where it went", Shape: "tiles", Words: words(garden.OnSurface, garden.MixedIn, garden.InTrench), Last: true}, onDay}},
	{"water", garden.KindWatering, diary.Add, "Watered", "Save", "amount bed", []noteField{
		{Name: "amount", Label: "How much, for all these beds together", Shape: "loads", Need: "Say how much."}, someBeds, onDay}},
	{"work", garden.KindWork, diary.Add, "Worked", "Save the work", "time task bed", []noteField{
		{Name: "time", Label: "Minutes", Shape: "clock", Unit: "min", Need: "Say how long, or start the clock."},
		{Name: "task", Label: "What", Shape: "choose", Need: "Say what was done.", Last: true}, anyBeds,
		{Name: "who", Label: "Who", Shape: "text", Last: true}, onDay}},
	{"measure", garden.KindMeasurement, diary.Add, "Measured", "Save the measurement", "value what planting", []noteField{ofCrop,
		{Name: "what", Label: "What", Shape: "choose", Words: []string{"root length", "forked roots", "brix", "plant height", "stones", "earthworms", "pest count", "soil temperature"}, Need: "Say what was measured.", Last: true},
		{Name: "value", Label: "Figure", Hint: "with its unit, such as 28 cm", Shape: "text", Need: "Write the figure."},
		{Name: "n", Label: "Of how many, or the mean of how many", Shape: "number"}, onDay}},
	{"cover", garden.KindCover, diary.Add, "Covered", "Save the cover", "what bed", []noteField{
		{Name: "what", Label: "What", Shape: "choose", Words: []string{"fleece", "net", "glass", "straw mulch", "compost mulch", "film"}, Need: "Say what it is.", Last: true}, someBeds,
		{Name: "on", Label: "When it went on", Shape: "day"}}},
	{"loss", garden.KindLoss, diary.Add, "Lost", "Save the loss", "share cause planting", []noteField{ofCrop,
		{Name: "share", Label: "How much of it was lost", Shape: "number", Unit: "%", Need: "Say how much, about."},
		{Name: "cause", Label: "What did it", Shape: "choose", Words: []string{"slugs", "pigeons", "caterpillars", "frost", "drought", "blight", "rabbits", "bolting"}, Need: "Say what did it."},
		{Name: "strikes-all", Label: "Could it strike every bed alike, whatever its method?", Shape: "tiles", Words: []string{"yes", "no"}}, onDay}},
	{"note", garden.KindNote, diary.Add, "Anything else", "Save the note", "text bed", []noteField{
		{Name: "text", Label: "Note", Shape: "long", Need: "Write something."}, anyBeds, onDay,
		// Last, so that a form of which only the beginning can be read still has the whole note.
		{Name: "picture", Label: "Picture", Hint: "it is made small, and where it was taken is left out", Shape: "picture"}}},
}

func findKind(name string) (noteKind, bool) {
	i := slices.IndexFunc(noteKinds, func(k noteKind) bool { return k.name == name })
	if i < 0 {
		return noteKind{}, false
	}
	return noteKinds[i], true
}
