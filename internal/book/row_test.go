package book

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
)

// everyKind returns an empty record of each kind.
func everyKind() []garden.Record {
	var out []garden.Record
	lists := reflect.TypeFor[garden.Records]()
	for i := range lists.NumField() {
		out = append(out, reflect.Zero(lists.Field(i).Type.Elem()).Interface().(garden.Record))
	}
	return out
}

// filled returns the record with its fields filled by lot; a field is left empty in one case of sparse, never if that is 0.
func filled(r *rand.Rand, rec garden.Record, sparse int) garden.Record {
	v := reflect.New(reflect.TypeOf(rec)).Elem()
	fill(r, v, sparse)
	id := garden.ID{1, byte(r.IntN(256)), 3}
	return garden.WithIdentity(v.Interface().(garden.Record), id, 1+r.IntN(300))
}

func fill(r *rand.Rand, v reflect.Value, sparse int) {
	if sparse > 0 && r.IntN(sparse) == 0 {
		return
	}
	switch x := v.Addr().Interface().(type) {
	case *civil.Date:
		*x = civil.FromNumber(1 + r.IntN(20000))
		return
	case *civil.When:
		*x = civil.When{Date: civil.FromNumber(-1 - r.IntN(20000)), Precision: civil.About}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(r, v.Field(i), sparse)
		}
		if known := v.FieldByName("Known"); known.IsValid() && !known.Bool() {
			v.SetZero() // a value that is not known is empty
		}
	case reflect.Array:
		for i := range v.Len() {
			v.Index(i).SetUint(uint64(1 + r.IntN(255)))
		}
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1+r.IntN(3), 3))
		for i := range v.Len() {
			fill(r, v.Index(i), sparse)
		}
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(r, v.Elem(), sparse)
	case reflect.Map:
		v.Set(reflect.ValueOf(map[string]string{"compost": "much", "spacing": "close"}))
	case reflect.String:
		v.SetString(strings.Repeat("ä~", 1+r.IntN(30)))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Float64:
		v.SetFloat(r.NormFloat64())
	case reflect.Int, reflect.Int32, reflect.Int64:
		v.SetInt(int64(1 + r.IntN(100000)))
	case reflect.Uint8, reflect.Uint64:
		v.SetUint(1 + r.Uint64N(250))
	default:
		panic("no value for " + v.Type().String())
	}
}

// Whoever adds a field to a record and forgets it here learns it from this test.
func TestRowsHoldEveryFieldOfEveryKind(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	c := &coder{}
	for _, empty := range everyKind() {
		for _, sparse := range []int{0, 0, 2, 3, 1, 4, 2} {
			rec := filled(r, empty, sparse)
			row, err := c.row(rec)
			if err != nil {
				t.Fatal(err)
			}
			var list garden.Records
			if err := c.into(&list, rec.Kind(), slices.Clone(row)); err != nil {
				t.Fatalf("%s: %v", rec.Kind(), err)
			}
			if got := list.List(rec.Kind()); len(got) != 1 || !reflect.DeepEqual(got[0], rec) {
				t.Fatalf("%s came back as\n%+v\nand not\n%+v", rec.Kind(), got, rec)
			}
		}
	}
	if n := len(everyKind()); n != len(garden.Kinds()) {
		t.Errorf("%d lists for %d kinds", n, len(garden.Kinds()))
	}
}

func TestRowsThatEndEarlyOrHoldMoreAreRefused(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	c := &coder{}
	for _, empty := range everyKind() {
		if !compact(empty.Kind()) {
			continue
		}
		row, err := c.row(filled(r, empty, 0))
		if err != nil {
			t.Fatal(err)
		}
		row = slices.Clone(row)
		for _, bad := range [][]byte{row[:len(row)-1], row[:20], row[:7], nil, append(slices.Clone(row), 0)} {
			var list garden.Records
			if err := c.into(&list, empty.Kind(), bad); err == nil {
				t.Errorf("%s: a row of %d bytes instead of %d was read", empty.Kind(), len(bad), len(row))
			}
		}
		row[16+2+3] |= 0x80 // the highest field of the mask, which no kind has yet
		if row[16]&0x80 == 0 {
			row[16+1+3] |= 0x80
		}
		var list garden.Records
		if err := c.into(&list, empty.Kind(), row); err == nil {
			t.Errorf("%s: a field that is not known was passed over", empty.Kind())
		}
	}
}

func FuzzRows(f *testing.F) {
	r := rand.New(rand.NewPCG(3, 3))
	c := &coder{}
	for i, empty := range everyKind() {
		row, err := c.row(filled(r, empty, 2))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(uint8(i), slices.Clone(row))
	}
	f.Fuzz(func(t *testing.T, kind uint8, row []byte) {
		kinds := garden.Kinds()
		k := kinds[int(kind)%len(kinds)]
		var list garden.Records
		c := &coder{}
		if err := c.into(&list, k, row); err != nil || !compact(k) {
			return
		}
		again, err := c.row(list.List(k)[0])
		if err != nil {
			t.Fatal(err)
		}
		var second garden.Records
		if err := c.into(&second, k, again); err != nil {
			t.Fatalf("a row that was read and written cannot be read again: %v", err)
		}
	})
}

// Removing and undoing look only into the tables that naming lists.
func TestNamingListsWhatNamedFinds(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	found := 0
	for _, empty := range everyKind() {
		rec := filled(r, empty, 0)
		for _, target := range named(rec) {
			found++
			if !slices.Contains(naming(target.kind), rec.Kind()) {
				t.Errorf("a %s names a %s, but naming(%s) leaves it out", rec.Kind(), target.kind, target.kind)
			}
		}
		if want := idsIn(reflect.ValueOf(rec)); len(named(rec)) != want {
			t.Errorf("a %s holds %d ids of other records, named finds %d", rec.Kind(), want, len(named(rec)))
		}
	}
	if found < 30 {
		t.Errorf("only %d names were looked at", found)
	}
}

// idsIn counts the identities in the fields of a record, its own left out.
func idsIn(v reflect.Value) (n int) {
	switch v.Kind() {
	case reflect.Array:
		return 1
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).Name != "ID" {
				n += idsIn(v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			n += idsIn(v.Index(i))
		}
	case reflect.Pointer:
		return idsIn(v.Elem())
	}
	return n
}
