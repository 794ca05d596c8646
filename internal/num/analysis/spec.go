package analysis

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fairplot/internal/num/model"
)

// DF names a method for degrees of freedom.
type DF string

// The methods. Least squares needs neither.
const (
	KenwardRoger  DF = "kenward-roger"
	Satterthwaite DF = "satterthwaite"
)

// Spec says what is asked of a table. The zero value of each field but Response and Treatments is its default.
type Spec struct {
	Response   string
	Treatments string // formula
	Blocks     string // formula of the random groupings
	Categories []string
	References []model.Setting
	Log        bool
	Compare    []string // factors, or A:B for cells; default every categorical treatment factor
	Against    string   // level of the one compared factor
	Adjust     model.Adjust
	DF         DF
	Confidence float64 // default 0.95
	Seed       uint64
	Weights    string // column of relative weights

	// Intervals leaves out all but the fit and the differences with their limits: no tests, no means, no adjusted p. The p of a family set
	// against one level is by far the dearest of what there is, and whoever asks for limits alone reads none of it.
	Intervals bool

	Randomisation bool // also test each factor by its own randomisation, units and strata read off Blocks
}

// whole fills in the defaults and refuses what contradicts itself.
func (s Spec) whole() (Spec, error) {
	if s.Confidence == 0 {
		s.Confidence = 0.95
	}
	if !(s.Confidence > 0 && s.Confidence < 1) {
		return s, &model.Error{Text: fmt.Sprintf("a confidence of %g is none", s.Confidence), Hint: "give a share above 0 and below 1, such as 0.95"}
	}
	if s.DF == "" {
		s.DF = KenwardRoger
	}
	if s.DF != KenwardRoger && s.DF != Satterthwaite {
		return s, &model.Error{Text: fmt.Sprintf("%q is no method for degrees of freedom", s.DF), Hint: "choose kenward-roger or satterthwaite"}
	}
	if s.Adjust == "" {
		s.Adjust = model.Tukey
		if s.Against != "" {
			s.Adjust = model.Dunnett
		}
	}
	if !slices.Contains([]model.Adjust{model.Tukey, model.Dunnett, model.Holm, model.None}, s.Adjust) {
		return s, &model.Error{Text: fmt.Sprintf("%q is no adjustment", s.Adjust), Hint: "choose tukey, dunnett, holm or none"}
	}
	if s.Adjust == model.Dunnett && s.Against == "" {
		return s, &model.Error{Text: "the dunnett adjustment needs a level that the others are set against", Hint: "name it, or adjust by tukey"}
	}
	return s, nil
}

// CommandLine writes the call that repeats the analysis on the table in file, quoted for a shell.
func (s Spec) CommandLine(file string) string {
	if strings.HasPrefix(file, "-") {
		file = "./" + file
	}
	words := []string{"fairplot", "analyse", file}
	add := func(option, value string) {
		if value != "" {
			words = append(words, "--"+option, value)
		}
	}
	add("response", s.Response)
	add("treatments", s.Treatments)
	add("blocks", s.Blocks)
	add("categories", commas(s.Categories))
	for _, r := range s.References {
		add("reference", r.Factor+"="+r.Level)
	}
	if s.Log {
		words = append(words, "--log")
	}
	for _, c := range s.Compare {
		add("compare", c)
	}
	add("against", s.Against)
	add("adjust", string(s.Adjust))
	add("df", string(s.DF))
	if s.Confidence != 0 {
		add("confidence", strconv.FormatFloat(s.Confidence, 'g', -1, 64))
	}
	if s.Seed != 0 {
		add("seed", strconv.FormatUint(s.Seed, 10))
	}
	add("weights", s.Weights)
	if s.Randomisation {
		words = append(words, "--randomisation")
	}
	for i, w := range words {
		words[i] = shell(w)
	}
	return strings.Join(words, " ")
}

// commas joins names as one row of a CSV file, so that a name with a comma stands in quotation marks.
func commas(names []string) string {
	out := make([]string, len(names))
	for i, n := range names {
		if strings.ContainsAny(n, ",\"\n") {
			n = `"` + strings.ReplaceAll(n, `"`, `""`) + `"`
		}
		out[i] = n
	}
	return strings.Join(out, ",")
}

// shell quotes a word where a POSIX shell would read something into it.
func shell(word string) string {
	plain := word != ""
	for _, r := range word {
		plain = plain && (r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("_./:=+,@%-", r))
	}
	if plain {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
