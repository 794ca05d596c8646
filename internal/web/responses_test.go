package web_test

import (
	"math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fairplot/internal/evidence"
	"fairplot/internal/garden"
)

// observed adds to each planting that ended a count of forked roots and a girth, to each weight the pieces in it and to each crop a price, all invented.
func observed(r garden.Records) garden.Records {
	lot := rand.New(rand.NewPCG(3, 8))
	for _, p := range r.Plantings {
		if p.Ended.IsZero() {
			continue
		}
		forked := 0
		for range 24 {
			if lot.Float64() < 0.3 {
				forked++
			}
		}
		count := garden.Measurement{ID: garden.Ref[garden.Measurement](newID()), Planting: p.ID, What: "forked", Value: float64(forked), N: garden.Some(24), Date: p.Ended}
		girth := garden.Measurement{ID: garden.Ref[garden.Measurement](newID()), Planting: p.ID, What: "girth", Value: 12 + lot.NormFloat64(), Unit: "cm", Date: p.Ended}
		r.Measurements = append(r.Measurements, count, girth)
	}
	for i, h := range r.Harvests {
		if mass := h.Net(); mass.Known {
			r.Harvests[i].Count = garden.Some(1 + int(float64(mass.Value)/0.1))
		}
	}
	priced := map[string]bool{}
	for _, p := range r.Plantings {
		if !priced[p.Crop] {
			priced[p.Crop] = true
			r.Crops = append(r.Crops, garden.Crop{ID: garden.Ref[garden.Crop](newID()), Name: p.Crop, Own: []garden.OwnFigure{{What: "price per kg", Value: 1 + 3*lot.Float64(), Unit: "EUR/kg"}}})
		}
	}
	return r
}

// TestEveryResponseIsAnswered asks for each response, by crops and practices that have it, on the page for questions.
func TestEveryResponseIsAnswered(t *testing.T) {
	s := newSite(t, observed(demoRecords()))
	for _, response := range evidence.Responses() {
		response = strings.NewReplacer("measured WHAT", "measured girth", "count WHAT", "count forked").Replace(response)
		w := s.get("/ask/compare?subject=cultivation&response=" + url.QueryEscape(response))
		body := w.Body.String()
		if w.Code != http.StatusOK || !strings.Contains(body, "Left out one at a time") || strings.Contains(body, "NaN") || strings.Contains(body, "%!") {
			t.Errorf("%s: status %d, or no answer with its parts left out in turn", response, w.Code)
		}
		for _, fault := range faultsOf(t, body) {
			t.Errorf("%s: %s", response, fault)
		}
	}
}
