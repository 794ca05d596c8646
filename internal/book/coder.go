package book

import (
	"encoding/binary"
	"errors"
	"math"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// The kinds that a book holds by the ten thousand are kept in a compact form: read as JSON they take four to seven
// times as long, and as typed columns two to four times with sixteen times the allocations (BenchmarkForms). A row is the id,
// the revision, a mask of the fields that are not empty, then those fields. One function for each kind names its
// fields in order for both directions; a new field goes to its end, so that older rows stay readable. Operations keep the
// record as JSON, so that nothing depends on this form alone.

var errShort = errors.New("the row ends too early")
var errUnknownField = errors.New("the row has a field that this version does not know")

// coder writes or reads the fields of one row.
type coder struct {
	writing bool
	buf     []byte // written so far, or still to be read
	mask    uint32
	bit     uint
	err     error
	texts   map[string]string // short texts met before: most rows share them
	beds    []garden.BedID    // room for the lists of beds, cut off piece by piece
}

// encode returns the row of a record.
func (c *coder) encode(id garden.ID, rev int, fields func(*coder)) []byte {
	c.writing, c.err, c.buf = true, nil, make([]byte, 0, 96)
	c.buf = append(c.buf, id[:]...)
	c.buf = binary.AppendUvarint(c.buf, uint64(rev))
	c.nest(fields)
	return c.buf
}

// head reads id and revision, which stand first in the row of every kind.
func (c *coder) head(row []byte) (id garden.ID, rev int) {
	c.writing, c.buf, c.err = false, row, nil
	copy(id[:], c.take(16))
	return id, int(c.uvarint())
}

// nest writes or reads a group of fields under a mask of its own.
func (c *coder) nest(fields func(*coder)) {
	mask, bit := c.mask, c.bit
	c.mask, c.bit = 0, 0
	if c.writing {
		at := len(c.buf)
		c.buf = append(c.buf, 0, 0, 0, 0)
		fields(c)
		binary.LittleEndian.PutUint32(c.buf[at:], c.mask)
	} else if b := c.take(4); b != nil {
		c.mask = binary.LittleEndian.Uint32(b)
		fields(c)
		if c.err == nil && uint64(c.mask)>>c.bit != 0 {
			c.err = errUnknownField
		}
	}
	c.mask, c.bit = mask, bit
}

// has reports whether the next field is there; when writing, it is there unless it is empty.
func (c *coder) has(full bool) bool {
	flag := uint32(1) << c.bit
	c.bit++
	if c.writing && full {
		c.mask |= flag
	}
	return c.mask&flag != 0 && c.err == nil
}

func (c *coder) take(n int) []byte {
	if len(c.buf) < n {
		c.err, c.buf = errShort, nil
		return nil
	}
	b := c.buf[:n]
	c.buf = c.buf[n:]
	return b
}

func (c *coder) uvarint() uint64 {
	v, n := binary.Uvarint(c.buf)
	if n <= 0 {
		c.err, c.buf = errShort, nil
		return 0
	}
	c.buf = c.buf[n:]
	return v
}

func (c *coder) number(v *int64) {
	if c.writing {
		c.buf = binary.AppendVarint(c.buf, *v)
		return
	}
	u := c.uvarint()
	*v = int64(u>>1) ^ -int64(u&1)
}

func (c *coder) date(d *civil.Date) {
	if c.has(!d.IsZero()) {
		n := int64(d.Number())
		c.number(&n)
		*d = civil.FromNumber(int(n))
	}
}

func (c *coder) int(v *int) {
	if c.has(*v != 0) {
		n := int64(*v)
		c.number(&n)
		*v = int(n)
	}
}

// bool is the bit itself.
func (c *coder) bool(v *bool) { *v = c.has(*v) }

func (c *coder) maybeInt(v *garden.Maybe[int]) {
	if v.Known = c.has(v.Known); v.Known {
		n := int64(v.Value)
		c.number(&n)
		v.Value = int(n)
	}
}

// maybeBool has a bit for known and a bit for true.
func (c *coder) maybeBool(v *garden.Maybe[bool]) {
	v.Known = c.has(v.Known)
	v.Value = c.has(v.Known && v.Value)
}

func maybe[T ~float64](c *coder, v *garden.Maybe[T]) {
	if v.Known = c.has(v.Known); v.Known {
		float(c, &v.Value)
	}
}

func float[T ~float64](c *coder, v *T) {
	if c.writing {
		c.buf = binary.LittleEndian.AppendUint64(c.buf, math.Float64bits(float64(*v)))
	} else if b := c.take(8); b != nil {
		*v = T(math.Float64frombits(binary.LittleEndian.Uint64(b)))
	}
}

func ref[T any](c *coder, v *garden.Ref[T]) {
	if !c.has(!v.IsZero()) {
		return
	}
	if c.writing {
		c.buf = append(c.buf, v[:]...)
		return
	}
	copy(v[:], c.take(16))
}

func text[T ~string](c *coder, v *T) {
	if !c.has(*v != "") {
		return
	}
	if c.writing {
		c.buf = binary.AppendUvarint(c.buf, uint64(len(*v)))
		c.buf = append(c.buf, *v...)
		return
	}
	n := c.uvarint()
	if n > uint64(len(c.buf)) {
		c.err = errShort
		return
	}
	*v = T(c.shared(c.take(int(n))))
}

// shared returns the text, the same one for the same short bytes.
func (c *coder) shared(b []byte) string {
	if len(b) > 40 {
		return string(b)
	}
	if s, ok := c.texts[string(b)]; ok {
		return s
	}
	if c.texts == nil {
		c.texts = map[string]string{}
	}
	s := string(b)
	c.texts[s] = s
	return s
}

func (c *coder) bedList(v *[]garden.BedID) {
	if !c.has(len(*v) > 0) {
		return
	}
	if c.writing {
		c.buf = binary.AppendUvarint(c.buf, uint64(len(*v)))
		for _, id := range *v {
			c.buf = append(c.buf, id[:]...)
		}
		return
	}
	n := c.uvarint()
	if n > uint64(len(c.buf)/16) {
		c.err = errShort
		return
	}
	*v = c.room(int(n))
	for i := range *v {
		copy((*v)[i][:], c.take(16))
	}
}

// room cuts a list of n beds off a larger piece of memory.
func (c *coder) room(n int) []garden.BedID {
	if len(c.beds) < n {
		c.beds = make([]garden.BedID, max(n, 1024))
	}
	list := c.beds[:n:n]
	c.beds = c.beds[n:]
	return list
}

func (c *coder) part(p *garden.Part) {
	maybe(c, &p.From)
	maybe(c, &p.To)
	maybe(c, &p.Share)
	text(c, &p.Plot)
}
