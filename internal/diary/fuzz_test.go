package diary

import (
	"errors"
	"testing"

	"fairplot/internal/garden"
)

// FuzzUnderstand: whatever is typed, the diary answers with records that can be kept, with questions, or with a sentence.
func FuzzUnderstand(f *testing.F) {
	f.Add(int8(0), "terrace/4", "parsnip", "1,5 kg", "yesterday")
	f.Add(int8(1), "terrace/1-3,5", "carot", "2 barrows", "about 3 April")
	f.Add(int8(2), "+x/1-9", "+leek", "1h30", "2026-W15")
	f.Add(int8(3), "terrace/4 parsnip 2026-04-03", "", "12", "03/04/2026")
	kinds := []garden.Kind{garden.KindHarvest, garden.KindPlanting, garden.KindAmendment, garden.KindWork, garden.KindBed, garden.KindMeasurement, garden.KindSoilTest, garden.KindLoss}
	f.Fuzz(func(t *testing.T, which int8, where, what, much, day string) {
		b := terrace(t)
		k := kinds[int(uint8(which))%len(kinds)]
		fields := map[string]string{}
		texts := []string{day, where, what, much}
		for i, field := range Fields(k) {
			fields[field.Name] = texts[i%len(texts)]
		}
		for _, asks := range []bool{true, false} {
			c := b.context()
			c.Asks = asks
			o, err := Understand(c, Draft{Action: Add, Kind: k, Fields: fields})
			var e *garden.Error
			if err != nil && (!errors.As(err, &e) || e.Text == "") {
				t.Fatalf("an error that is no sentence: %v", err)
			}
			if len(o.Questions) > 0 && (len(o.Operations) > 0 || !asks) {
				t.Fatalf("asks %v and makes %d operations", o.Questions, len(o.Operations))
			}
			for _, rec := range o.Records {
				if err := rec.Check(); err != nil {
					t.Fatalf("%+v: %v", rec, err)
				}
			}
		}
	})
}
