package book_test

import (
	"crypto/sha256"
	"testing"

	"fairplot/internal/garden"
)

// A phone's entry is known by what the phone wrote, whatever it was understood as.
func TestAnEntryIsKnownByWhatItWasWrittenAs(t *testing.T) {
	b, s := fresh(t)
	op := add(t, s, garden.Garden{ID: garden.GardenID(s.id()), Name: "terrace"})[0]
	written := sha256.Sum256([]byte("terrace"))
	op.Sent = written[:]
	if _, had, err := b.Had(ctx, op.ID); had || err != nil {
		t.Fatalf("had before it came: %v, %v", had, err)
	}
	apply(t, b, []garden.Operation{op}, garden.Kept)
	got, had, err := b.Had(ctx, op.ID)
	if !had || err != nil {
		t.Fatalf("not had: %v", err)
	}
	if string(got.Sent) != string(written[:]) || got.Record != op.Record || got.Kind != op.Kind || !got.Made.Equal(op.Made) || got.Received.IsZero() {
		t.Errorf("had %+v, want %+v", got, op)
	}
	again := op
	again.Made = op.Made.Add(1) // understood anew, a moment later
	apply(t, b, []garden.Operation{again}, garden.Had)
	other := sha256.Sum256([]byte("orchard"))
	again.Sent = other[:]
	apply(t, b, []garden.Operation{again}, garden.RefusedOut)
}
