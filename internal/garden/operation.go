package garden

import (
	"time"

	"fairplot/internal/civil"
)

// Action is what an operation does to its record.
type Action string

// The actions.
const (
	Add    Action = "add"
	Change Action = "change"
	Remove Action = "remove"
)

// Operation is one change, made once and known by its own id wherever it was written. Its Body is the whole record
// after the change (see Encode), nil for Remove.
type Operation struct {
	ID       ID        `json:"id"`
	Action   Action    `json:"action"`
	Kind     Kind      `json:"kind"`
	Record   ID        `json:"record"`
	Base     int       `json:"base"` // revision it was based on, 0 for Add
	Body     []byte    `json:"body,omitempty"`
	Person   PersonID  `json:"person,omitzero"`
	Device   DeviceID  `json:"device,omitzero"`
	Made     time.Time `json:"made"` // by the clock of the device it was written on
	Received time.Time `json:"received,omitzero"`
	Undoes   ID        `json:"undoes,omitzero"` // the operation that this one takes back
	Sent     []byte    `json:"sent,omitempty"`  // SHA-256 of what it was written as, where that is not Body: a phone's entry
}

// Outcome says what became of an operation.
type Outcome string

// The outcomes.
const (
	Kept       Outcome = "kept"     // stored now
	Had        Outcome = "had"      // stored before: same id, same bytes
	Clashed    Outcome = "conflict" // the record had changed meanwhile; stored in the history, not applied
	RefusedOut Outcome = "refused"  // same id with other bytes, or it cannot be applied
)

// Receipt is the book's answer to one operation.
type Receipt struct {
	Operation ID      `json:"operation"`
	Outcome   Outcome `json:"outcome"`
	Says      string  `json:"says,omitempty"`
	Revision  int     `json:"revision,omitempty"`
}

// Past is one line of the history: an operation with the record before and after it (nil where there was none).
type Past struct {
	Operation Operation
	Before    Record
	After     Record
}

// Want names what is to be read.
type Want struct {
	Kinds    []Kind     // empty means all
	From, To civil.Date // records with a day outside are left out, zero is open; those without a day are always there
}
