package chart_test

import (
	"encoding/xml"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/chart"
)

var update = flag.Bool("update", false, "write the golden pictures anew; look at them before you keep them")

func pictures() map[string]chart.Picture {
	return map[string]chart.Picture{
		"interval": chart.Intervals{Key: "i", Title: "Dug against undug", Desc: "All crops: between 1.07 and 1.51 times.", Margin: 0.25,
			Less: "undug gave more", More: "dug gave more",
			Rows: []chart.Range{{Name: "All crops", Note: "41 bed-seasons", Low: 1.07, Best: 1.27, High: 1.51, Known: true},
				{Name: "parsnip", Note: "14 crops in a bed", Low: 1.2, Best: 1.62, High: 2.19, Known: true},
				{Name: "kale & <chard>", Note: "9 crops in a bed", Low: 0.61, Best: 0.9, High: 1.33, Known: true},
				{Name: "squash", Note: "one level only"}}}.Draw(),
		"stakes": chart.Stakes{Key: "s", Title: "Yield by season", Desc: "Terrace 3.1, 3.6, not noted.", Groups: []chart.StakeGroup{
			{Name: "terrace", Note: "kg per m² of bed", Stakes: []chart.Stake{{"2023", 3.1, true}, {"2024", 3.6, true}, {"2025", 0, false}}},
			{Name: "lane", Note: "kg per m² of bed", Stakes: []chart.Stake{{"2023", 2.1, true}, {"2024", 0, true}, {"2025", 2.4, true}}}}}.Draw(),
		"plan": chart.Plan{Key: "p", Title: "The gardens", Desc: "Three beds.", Legend: []string{"carrot family", "beet family"}, Beds: []chart.Ground{
			{Name: "1", Says: "carrot", Series: 0, Rows: 5, Corners: []chart.Corner{{0, 0}, {6, 0}, {6, 1.2}, {0, 1.2}}},
			{Name: "2", Says: "chard", Series: 1, Rows: 3, Link: "/bed/2", Corners: []chart.Corner{{0, 2}, {6, 2}, {6, 3.2}, {0, 3.2}}},
			{Name: "3", Says: "", Series: -1, Corners: []chart.Corner{{7, 0}, {9, 1}, {8, 3}}}}}.Draw(),
	}
}

func TestGolden(t *testing.T) {
	for name, p := range pictures() {
		for class, got := range map[string]string{"wide": p.Wide, "narrow": p.Narrow} {
			file := filepath.Join("testdata", name+"-"+class+".svg")
			if *update {
				if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("%s differs from the golden file; look at it with -update and git diff", file)
			}
		}
	}
}

// TestWellFormed reads every picture as XML: what growers wrote must not break out of it, and each has a title and a description.
func TestWellFormed(t *testing.T) {
	for name, p := range pictures() {
		for _, text := range []string{p.Wide, p.Narrow} {
			dec := xml.NewDecoder(strings.NewReader(text))
			seen := map[string]int{}
			for {
				tok, err := dec.Token()
				if err == io.EOF {
					break
				}
				if err != nil {
					t.Fatalf("%s: %v", name, err)
				}
				if e, ok := tok.(xml.StartElement); ok {
					seen[e.Name.Local]++
					for _, a := range e.Attr {
						if a.Name.Local == "style" || strings.HasPrefix(a.Name.Local, "on") {
							t.Errorf("%s: attribute %s is against the content policy", name, a.Name.Local)
						}
						if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
							t.Errorf("%s: %s=%q", name, a.Name.Local, a.Value)
						}
					}
				}
			}
			if seen["title"] != 1 || seen["desc"] != 1 {
				t.Errorf("%s: %d titles and %d descriptions", name, seen["title"], seen["desc"])
			}
		}
	}
}

func TestEmptyPicturesAreStillPictures(t *testing.T) {
	for name, p := range map[string]chart.Picture{"plan": chart.Plan{}.Draw(), "stakes": chart.Stakes{}.Draw(), "intervals": chart.Intervals{Margin: 0.25}.Draw()} {
		if !strings.HasPrefix(p.Wide, "<svg") || strings.Contains(p.Wide+p.Narrow, "NaN") {
			t.Errorf("%s: %s", name, p.Wide)
		}
	}
}
