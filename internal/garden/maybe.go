package garden

import "encoding/json"

// Maybe is a value that may not have been noted; missing is never zero.
type Maybe[T any] struct {
	Value T
	Known bool
}

// Some returns a noted value.
func Some[T any](v T) Maybe[T] { return Maybe[T]{Value: v, Known: true} }

// IsZero reports whether nothing was noted, so that JSON leaves it out under omitzero.
func (m Maybe[T]) IsZero() bool { return !m.Known }

// Or returns the value, or other if none was noted.
func (m Maybe[T]) Or(other T) T {
	if m.Known {
		return m.Value
	}
	return other
}

// MarshalJSON writes the value, or null.
func (m Maybe[T]) MarshalJSON() ([]byte, error) {
	if !m.Known {
		return []byte("null"), nil
	}
	return json.Marshal(m.Value)
}

// UnmarshalJSON reads a value; null is "not noted".
func (m *Maybe[T]) UnmarshalJSON(data []byte) error {
	*m = Maybe[T]{}
	if string(data) == "null" {
		return nil
	}
	if err := json.Unmarshal(data, &m.Value); err != nil {
		return err
	}
	m.Known = true
	return nil
}
