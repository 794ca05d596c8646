package garden

import (
	"encoding/hex"
	"fmt"
)

// Ref is the identity of a record of type T: the 16 bytes of a UUID. The zero value names nothing.
type Ref[T any] [16]byte

// ID is an identity whose kind is known from elsewhere; any Ref converts to it and back.
type ID = Ref[any]

// The identities of the records.
type (
	SiteID     = Ref[Site]
	GardenID   = Ref[Garden]
	BedID      = Ref[Bed]
	PlantingID = Ref[Planting]
	HarvestID  = Ref[Harvest]
	TrialID    = Ref[Trial]
	PersonID   = Ref[Person]
	DeviceID   = Ref[Device]
	PictureID  = Ref[Picture]
)

// IsZero reports whether the identity names nothing.
func (r Ref[T]) IsZero() bool { return r == Ref[T]{} }

// String returns the usual text of a UUID, or "" for none.
func (r Ref[T]) String() string {
	if r.IsZero() {
		return ""
	}
	var b [36]byte
	hex.Encode(b[0:8], r[0:4])
	hex.Encode(b[9:13], r[4:6])
	hex.Encode(b[14:18], r[6:8])
	hex.Encode(b[19:23], r[8:10])
	hex.Encode(b[24:36], r[10:16])
	b[8], b[13], b[18], b[23] = '-', '-', '-', '-'
	return string(b[:])
}

// MarshalText returns the same text as String.
func (r Ref[T]) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the text of a UUID (RFC 9562); empty text is "nothing".
func (r *Ref[T]) UnmarshalText(text []byte) error {
	*r = Ref[T]{}
	if len(text) == 0 {
		return nil
	}
	if len(text) != 36 || text[8] != '-' || text[13] != '-' || text[18] != '-' || text[23] != '-' {
		return fmt.Errorf("%q is no record id: it has the form 0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f50", text)
	}
	var digits [32]byte
	n := 0
	for i, c := range text {
		if i == 8 || i == 13 || i == 18 || i == 23 {
			continue
		}
		digits[n] = c
		n++
	}
	if _, err := hex.Decode(r[:], digits[:]); err != nil {
		return fmt.Errorf("%q is no record id: %w", text, err)
	}
	return nil
}

// ParseID reads the text of a UUID.
func ParseID(text string) (ID, error) {
	var id ID
	err := id.UnmarshalText([]byte(text))
	return id, err
}
