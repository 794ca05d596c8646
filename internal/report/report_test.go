package report_test

import (
	"strings"
	"testing"

	"fairplot/internal/finding"
	"fairplot/internal/report"
)

func codes() []finding.Code {
	return []finding.Code{finding.NotRandomised, finding.GardenIsMethod, finding.MovedTogether, finding.OneSeason, finding.FewUnits, finding.ZeroVariance,
		finding.SearchStopped, finding.OddResiduals, finding.UnevenSpread, finding.OneGardenDecides, finding.OneSeasonDecides, finding.EstimatedWeights,
		finding.HarvestIncomplete, finding.SharedWeighings, finding.DifferentState, finding.AboveCeiling, finding.Failures, finding.Extrapolated,
		finding.AfterTreatment, finding.ManyQuestions, finding.Unplanned, finding.Planned, finding.EdgePlants}
}

// TestNoDoubtIsDropped prints every code of doubt and looks for its sentence and its code.
func TestNoDoubtIsDropped(t *testing.T) {
	var f finding.Finding
	for _, c := range codes() {
		f.Doubts = append(f.Doubts, finding.Doubt{Code: c, Says: "Because of " + string(c) + "."})
	}
	text := strings.Join(strings.Fields(report.Text(f, 80)), " ")
	for _, c := range codes() {
		if !strings.Contains(text, "Because of "+string(c)+". ("+string(c)+")") {
			t.Errorf("the text does not show %s", c)
		}
	}
}

func TestLinesKeepTheirWidth(t *testing.T) {
	f := finding.Finding{Question: strings.Repeat("word ", 60), Answer: strings.Repeat("änswer ", 60), Verdict: finding.NotYet}
	text := report.Text(f, 60)
	for _, line := range strings.Split(text, "\n") {
		if n := len([]rune(line)); n > 60 {
			t.Errorf("%d characters: %q", n, line)
		}
	}
	if !strings.Contains(text, "Not yet. ") {
		t.Error("the verdict does not stand before the sentence")
	}
}

func TestNumbersStandToTheRight(t *testing.T) {
	got := report.Columns(finding.Table{Columns: []finding.Column{{Name: "crop"}, {Name: "picked", Unit: "kg"}},
		Rows: [][]string{{"leek", "9.5"}, {"parsnip", "110.0"}, {"kale", "not known"}}}, "")
	want := "crop     picked (kg)\nleek             9.5\nparsnip        110.0\nkale       not known\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
