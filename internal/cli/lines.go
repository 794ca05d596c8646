package cli

import (
	"crypto/sha256"
	"encoding/binary"
	"maps"
	"slices"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// What a line of a file holds decides the ids of what it makes: the same file a second time adds nothing, whoever brings it and
// whenever.

// lineHash is the SHA-256 of a kind and the fields of a line, whatever the order of its columns.
func lineHash(k garden.Kind, fields map[string]string) [32]byte {
	h := sha256.New()
	h.Write([]byte("fairplot line 1\n" + string(k) + "\n"))
	for _, name := range slices.Sorted(maps.Keys(fields)) {
		if fields[name] != "" {
			h.Write([]byte(name + "=" + strings.ReplaceAll(fields[name], "\n", "\\n") + "\n"))
		}
	}
	return [32]byte(h.Sum(nil))
}

// maker gives the ids that one line stands for.
type maker struct {
	hash [32]byte
	day  uint32
}

func makerOf(k garden.Kind, fields map[string]string) maker {
	m := maker{hash: lineHash(k, fields)}
	if d, err := civil.Parse(fields["date"]); err == nil {
		m.day = uint32(max(0, d.Number()+1<<20))
	}
	return m
}

// id is the n-th id of what: a UUID of version 8, whose bits are the maker's own (RFC 9562, 5.8). The day of the line stands in
// front, so that a file in order of day is written in order and not all over the book.
func (m maker) id(what string, n int) garden.ID {
	sum := sha256.Sum256(binary.BigEndian.AppendUint64(append(m.hash[:], what...), uint64(n)))
	var id garden.ID
	copy(id[:], sum[:16])
	id[0], id[1], id[2] = byte(m.day>>16), byte(m.day>>8), byte(m.day)
	id[6] = id[6]&0x0F | 0x80
	id[8] = id[8]&0x3F | 0x80
	return id
}
