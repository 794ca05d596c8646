package cli

import (
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/diary"
	"fairplot/internal/garden"
	"fairplot/internal/word"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// recordCommands gives each kind of record its command, drawn from the diary's fields; what is special to a kind stands in the
// file named after it.
func recordCommands(a *app) []*cobra.Command {
	var out []*cobra.Command
	for _, k := range garden.Kinds() {
		if k == garden.KindPicture {
			continue // a picture comes in with its bytes, by the phone's pages
		}
		out = append(out, recordCommand(a, k))
	}
	return out
}

// recordCommand hangs the verbs on only when the noun is asked for: with all of them the program would make two thousand flags at
// every start.
func recordCommand(a *app, k garden.Kind) *cobra.Command {
	noun := string(k)
	c := &cobra.Command{
		Use:     noun,
		Short:   shortOf(k),
		GroupID: groupRecords,
		Example: fmt.Sprintf("  fairplot %s list\n%s", noun, addExample(k)),
		Args:    cobra.ArbitraryArgs,
		RunE:    helpOrUnknown,
	}
	if !a.mentions(noun) {
		return c
	}
	c.AddCommand(addCommand(a, k), listCommand(a, k), showCommand(a, k), changeCommand(a, k), removeCommand(a, k))
	for _, act := range special[k] {
		special := act(a)
		if old, _, err := c.Find([]string{special.Name()}); err == nil && old != c {
			c.RemoveCommand(old) // a kind may say more under a verb of every kind
		}
		c.AddCommand(special)
	}
	return c
}

// special holds the commands that only some kinds have.
var special = map[garden.Kind][]func(*app) *cobra.Command{
	garden.KindPlanting: plantingActs,
	garden.KindWeather:  weatherActs,
}

func (a *app) mentions(word string) bool {
	for _, arg := range a.env.Args {
		if arg == word {
			return true
		}
	}
	return false
}

// shortOf says in a line what a kind of record is.
func shortOf(k garden.Kind) string {
	says := map[garden.Kind]string{
		garden.KindSite: "places with one climate", garden.KindGarden: "gardens", garden.KindBed: "beds",
		garden.KindCrop: "crops of your own", garden.KindVariety: "varieties", garden.KindPlanting: "crops in beds, from sowing to last harvest",
		garden.KindHarvest: "harvests", garden.KindWork: "hours of work", garden.KindCultivation: "diggings and other loosening of the ground",
		garden.KindAmendment: "compost, manure and feed", garden.KindWatering: "waterings", garden.KindMeasurement: "measurements on crops and beds",
		garden.KindSoilTest: "soil tests", garden.KindCover: "mulch, fleece, glass", garden.KindLoss: "losses before harvest",
		garden.KindNote: "notes", garden.KindTreatment: "treatments against pests, diseases, weeds", garden.KindWeather: "days of weather",
		garden.KindMaterial: "materials that beds are fed with", garden.KindMeasure: "your own loads: barrows, buckets",
		garden.KindTrial: "trials", garden.KindPerson: "people who note things", garden.KindDevice: "phones and computers",
		garden.KindSetting: "settings of the book",
	}
	return says[k]
}

// addExample is a call of add that works, made of the fields a list shows.
func addExample(k garden.Kind) string {
	var b strings.Builder
	fmt.Fprintf(&b, "  fairplot %s add", k)
	fields := diary.Fields(k)
	hasBed := slices.ContainsFunc(fields, func(f diary.Field) bool { return f.Name == "bed" })
	for _, f := range fields {
		shown := f.Brief || f.Typed || f.Name == "factors"
		if !shown || f.Example == "" || skipInExample[f.Name] || f.Name == "planting" && hasBed {
			continue
		}
		fmt.Fprintf(&b, " --%s %s", f.Name, shellQuoted(f.Example))
	}
	return b.String()
}

// skipInExample are fields that say the same as another one in an example, or that come later.
var skipInExample = map[string]bool{"ended": true, "off": true, "cut-off": true, "volume": true, "count": true,
	"depth": true, "split": true, "parts": true, "length": true, "width": true, "garden": true, "fixed-on": true}

func shellQuoted(s string) string {
	if s != "" && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789./,-:%") == "" {
		return s
	}
	if !strings.Contains(s, "'") {
		return "'" + s + "'"
	}
	return `"` + s + `"`
}

func addCommand(a *app, k garden.Kind) *cobra.Command {
	c := &cobra.Command{
		Use: "add", Short: "note a new " + nounWords(k), Example: addExample(k), Args: exactly(),
		RunE: func(c *cobra.Command, _ []string) error {
			return a.decide(diary.Draft{Action: diary.Add, Kind: k, Fields: given(c)})
		},
	}
	fieldFlags(a, c, diary.Fields(k))
	return c
}

func changeCommand(a *app, k garden.Kind) *cobra.Command {
	c := &cobra.Command{
		Use: "change NAME", Short: "change " + word.A(nounWords(k)) + "; an empty text clears a field",
		Example: fmt.Sprintf("  fairplot %s change %s --%s", k, targetExample(k), lastField(k)),
		Args:    exactly("NAME"), ValidArgsFunction: a.completeTargets(k),
		RunE: func(c *cobra.Command, args []string) error {
			return a.decide(diary.Draft{Action: diary.Change, Kind: k, Target: args[0], Fields: given(c)})
		},
	}
	fieldFlags(a, c, diary.Fields(k))
	return c
}

func removeCommand(a *app, k garden.Kind) *cobra.Command {
	return &cobra.Command{
		Use: "remove NAME", Short: "remove " + word.A(nounWords(k)) + "; undo brings it back",
		Example: fmt.Sprintf("  fairplot %s remove %s", k, targetExample(k)),
		Args:    exactly("NAME"), ValidArgsFunction: a.completeTargets(k),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.decide(diary.Draft{Action: diary.Remove, Kind: k, Target: args[0]})
		},
	}
}

// actCommand is a command for something that is done to a record beyond changing its fields.
func actCommand(a *app, k garden.Kind, act diary.Action, short, example string, fields ...string) *cobra.Command {
	c := &cobra.Command{
		Use: string(act) + " NAME", Short: short, Example: "  " + example,
		Args: exactly("NAME"), ValidArgsFunction: a.completeTargets(k),
		RunE: func(c *cobra.Command, args []string) error {
			return a.decide(diary.Draft{Action: act, Kind: k, Target: args[0], Fields: given(c)})
		},
	}
	var some []diary.Field
	for _, name := range fields {
		for _, f := range diary.Fields(k) {
			if f.Name == name {
				some = append(some, f)
			}
		}
	}
	fieldFlags(a, c, some)
	return c
}

// nounWords is a kind as it stands in a sentence.
func nounWords(k garden.Kind) string { return strings.ReplaceAll(string(k), "-", " ") }

func targetExample(k garden.Kind) string {
	switch k {
	case garden.KindBed:
		return "terrace/4"
	case garden.KindPlanting:
		return "'terrace/4 parsnip'"
	}
	if f := diary.Fields(k)[0]; f.Name == "name" {
		return shellQuoted(f.Example)
	}
	if k == garden.KindVariety {
		return "'Long White'"
	}
	return "4b1c2d3e"
}

func lastField(k garden.Kind) string {
	fields := diary.Fields(k)
	for i := len(fields) - 1; i >= 0; i-- {
		if fields[i].Example != "" && !fields[i].Typed {
			return fields[i].Name + " " + shellQuoted(fields[i].Example)
		}
	}
	return ""
}

// fieldFlags makes a flag of each field.
func fieldFlags(a *app, c *cobra.Command, fields []diary.Field) {
	c.Flags().SortFlags = false // the order of the diary: what is asked first stands first
	for _, f := range fields {
		says := strings.ReplaceAll(f.Says, "`", "'")
		if len(f.Words) > 0 {
			says += ": " + strings.Join(f.Words, ", ")
		} else if f.Example != "" {
			says += ", such as " + f.Example
		}
		c.Flags().String(f.Name, "", says)
		if f.Type == diary.YesNo {
			c.Flags().Lookup(f.Name).NoOptDefVal = "yes"
		}
		if complete := a.completeField(f); complete != nil {
			// The only error is a flag that is not there or has one already; both would be seen in every test.
			if err := c.RegisterFlagCompletionFunc(f.Name, complete); err != nil {
				panic(err)
			}
		}
	}
}

// given gathers the field flags that stand on the command line.
func given(c *cobra.Command) map[string]string {
	out := map[string]string{}
	c.LocalNonPersistentFlags().VisitAll(func(f *pflag.Flag) {
		if f.Changed {
			out[f.Name] = f.Value.String()
		}
	})
	return out
}
