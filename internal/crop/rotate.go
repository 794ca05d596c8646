package crop

import (
	"fmt"
	"strings"
)

// Break is how long a disease asks to keep its hosts off a piece of ground.
type Break struct {
	Disease string // matched by the name here, never by a source's spelling
	Years   Figure
	Family  string
}

// GeneralRule is the disease named by the rule for all families.
const GeneralRule = "general rule for a family"

// Breaks returns the breaks asked for after the crop, disease by disease, the general rule last.
func (c Crop) Breaks() []Break {
	var out, rule []Break
	for _, f := range c.Figures(RotationBreak) {
		disease, _, _ := strings.Cut(f.Basis, ";")
		b := Break{disease, f, c.Family}
		if disease == GeneralRule {
			rule = append(rule, b)
			continue
		}
		out = append(out, b)
	}
	return append(out, rule...)
}

// After says whether the crop may follow another on the same ground after so many years: the breaks that it would cut short.
// Crops of one family share the general rule; a disease counts when both crops have it.
func (c Crop) After(before Crop, years float64) []Break {
	var out []Break
	for _, b := range c.Breaks() {
		shared := b.Disease == GeneralRule && c.Family == before.Family
		for _, o := range before.Breaks() {
			shared = shared || b.Disease != GeneralRule && o.Disease == b.Disease
		}
		if shared && years < b.Years.High {
			out = append(out, b)
		}
	}
	return out
}

// CountBack returns how many days before the first autumn frost a crop is sown: raising plants, days to maturity, harvest, some
// for the shortening days (about 14) and a fortnight more if it cannot bear frost. VCE-FALL.
func CountBack(raising, maturity, harvest, shorterDays float64, frost Frost) (float64, error) {
	if raising < 0 || maturity <= 0 || harvest < 0 || shorterDays < 0 {
		return 0, fmt.Errorf("days must be given and not negative: raising %g, to maturity %g, harvest %g, for shorter days %g", raising, maturity, harvest, shorterDays)
	}
	days := raising + maturity + harvest + shorterDays // VCE-FALL
	if frost == Tender || frost == VeryTender {
		days += 14
	}
	return days, nil
}
