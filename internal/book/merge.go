package book

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"fairplot/internal/garden"
)

// merge puts together two changes of one record, field by field: what mine changed against base goes onto theirs. The fields
// that both changed, to different values, are returned as clashes.
func merge(base, theirs, mine []byte) (merged []byte, clashes []string, err error) {
	var was, now, wanted map[string]json.RawMessage
	for body, into := range map[*[]byte]*map[string]json.RawMessage{&base: &was, &theirs: &now, &mine: &wanted} {
		if err := json.Unmarshal(*body, into); err != nil {
			return nil, nil, fmt.Errorf("the record it builds on cannot be read: %w", err)
		}
	}
	for _, field := range union(was, wanted) {
		if same(was[field], wanted[field]) || same(now[field], wanted[field]) {
			continue
		}
		if !same(was[field], now[field]) {
			clashes = append(clashes, field)
			continue
		}
		if value, given := wanted[field]; given {
			now[field] = value
		} else {
			delete(now, field)
		}
	}
	if len(clashes) > 0 {
		return nil, clashes, nil
	}
	merged, err = json.Marshal(now)
	return merged, nil, err
}

func union(a, b map[string]json.RawMessage) []string {
	var names []string
	for name := range a {
		names = append(names, name)
	}
	for name := range b {
		if _, both := a[name]; !both {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

func same(a, b json.RawMessage) bool {
	if len(a) == 0 || len(b) == 0 {
		return len(a) == len(b)
	}
	var x, y bytes.Buffer
	return json.Compact(&x, a) == nil && json.Compact(&y, b) == nil && bytes.Equal(x.Bytes(), y.Bytes())
}

// settle reads a merged body and brings it to the form in which records are written.
func settle(op garden.Operation, merged []byte) (garden.Record, []byte, error) {
	rec, err := garden.Decode(op.Kind, op.Record, 1, merged)
	if err != nil {
		return nil, nil, err
	}
	if err := rec.Check(); err != nil {
		return nil, nil, err
	}
	body, err := garden.Encode(rec)
	return rec, body, err
}

func join(fields []string) string {
	words := make([]string, len(fields))
	for i, f := range fields {
		words[i] = strings.ReplaceAll(f, "_", " ")
	}
	return strings.Join(words, ", ")
}
