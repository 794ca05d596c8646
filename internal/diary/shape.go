package diary

import (
	"encoding/json"
	"strconv"
	"strings"

	"fairplot/internal/civil"
	"fairplot/internal/garden"
	"fairplot/internal/unit"
	"fairplot/internal/word"
)

// The shapes a field can have. Each takes the place of the value in the record, and is the one place where that kind of text is
// read and written.

func text[T garden.Record](name, says, example string, at func(*T) *string) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Text},
		read: func(_ *reading, v *T, s string) error {
			*at(v) = s
			return nil
		},
		write: func(_ *Writing, v T) string { return *at(&v) },
	}
}

// choice takes one of a few words; a beginning that fits only one of them is enough.
func choice[T garden.Record, W ~string](name, says string, words []W, at func(*T) *W) field[T] {
	known := make([]string, len(words))
	for i, w := range words {
		known[i] = string(w)
	}
	return field[T]{
		Field: Field{Name: name, Says: says, Example: known[0], Type: Word, Words: known},
		read: func(_ *reading, v *T, s string) error {
			w, err := oneOf(s, known)
			if err == nil {
				*at(v) = W(w)
			}
			return err
		},
		write: func(_ *Writing, v T) string { return string(*at(&v)) },
	}
}

func oneOf(s string, known []string) (string, error) {
	if s == "" {
		return "", nil
	}
	want := strings.ReplaceAll(garden.Fold(s), "-", " ")
	var begins []string
	for _, w := range known {
		have := strings.ReplaceAll(w, "-", " ")
		if have == want {
			return w, nil
		}
		if strings.HasPrefix(have, want) {
			begins = append(begins, w)
		}
	}
	if len(begins) == 1 {
		return begins[0], nil
	}
	if near := word.Near(s, known); len(near) > 0 {
		return "", invalid(quoted(s)+" is not one of the words for it", word.Meant(near))
	}
	return "", invalid(quoted(s)+" is not one of the words for it", "it is one of "+strings.Join(known, ", "))
}

func day[T garden.Record](name, says, example string, at func(*T) *civil.Date) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Day},
		read: func(r *reading, v *T, s string) error {
			d, err := r.date(s)
			*at(v) = d
			return err
		},
		write: func(w *Writing, v T) string { return w.Date(*at(&v)) },
	}
}

// entryDay is the day of an entry, as of which its names are looked up.
func entryDay[T garden.Record](at func(*T) *civil.Date) field[T] {
	f := day("date", "the day it was done; today unless given", "yesterday", at)
	f.Brief = true
	read := f.read
	f.read = func(r *reading, v *T, s string) error {
		err := read(r, v, s)
		if d := *at(v); err == nil && !d.IsZero() {
			r.day = d
		}
		return err
	}
	return f
}

func when[T garden.Record](name, says, example string, at func(*T) *civil.When) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Day},
		read: func(r *reading, v *T, s string) error {
			d, err := r.when(s)
			*at(v) = d
			if err == nil && !d.IsZero() {
				r.day = d.Date
			}
			return err
		},
		write: func(w *Writing, v T) string { return w.When(*at(&v)) },
	}
}

func count[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[int]) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Number},
		read: func(_ *reading, v *T, s string) error {
			*at(v) = garden.Maybe[int]{}
			if s == "" {
				return nil
			}
			n, err := whole(s)
			*at(v) = garden.Some(n)
			return err
		},
		write: func(_ *Writing, v T) string {
			if n := *at(&v); n.Known {
				return strconv.Itoa(n.Value)
			}
			return ""
		},
	}
}

func whole(s string) (int, error) {
	n, err := unit.ParseCount(s)
	return n, hinted(err)
}

// share takes "25 %" or 0.25.
func share[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[float64]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Number}, at, readShare, func(w *Writing, s float64) string { return w.share(s) })
}

func decimal[T garden.Record](name, says, example string, at func(*T) *garden.Maybe[float64]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: example, Type: Number}, at, readNumber, func(_ *Writing, x float64) string { return plain(x) })
}

// maybe is the shape of everything that may not have been noted.
func maybe[T garden.Record, Q any](f Field, at func(*T) *garden.Maybe[Q], read func(*reading, string) (Q, error), write func(*Writing, Q) string) field[T] {
	return field[T]{
		Field: f,
		read: func(r *reading, v *T, s string) error {
			*at(v) = garden.Maybe[Q]{}
			if s == "" {
				return nil
			}
			q, err := read(r, s)
			*at(v) = garden.Some(q)
			return err
		},
		write: func(w *Writing, v T) string {
			if q := *at(&v); q.Known {
				return write(w, q.Value)
			}
			return ""
		},
	}
}

func yes[T garden.Record](name, says string, at func(*T) *bool) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: "yes", Type: YesNo},
		read: func(_ *reading, v *T, s string) error {
			b, err := readYes(s)
			*at(v) = b
			return err
		},
		write: func(_ *Writing, v T) string {
			if *at(&v) {
				return "yes"
			}
			return ""
		},
	}
}

func maybeYes[T garden.Record](name, says string, at func(*T) *garden.Maybe[bool]) field[T] {
	return maybe(Field{Name: name, Says: says, Example: "no", Type: YesNoUnsaid}, at,
		func(_ *reading, s string) (bool, error) { return readYes(s) },
		func(_ *Writing, b bool) string {
			if b {
				return "yes"
			}
			return "no"
		})
}

func readYes(s string) (bool, error) {
	switch strings.ToLower(s) {
	case "yes", "y", "true", "1", "x":
		return true, nil
	case "", "no", "n", "false", "0":
		return false, nil
	}
	return false, invalid(quoted(s)+" is neither yes nor no", "write yes or no")
}

// structured takes a compound value that is written as JSON; where nobody types it by hand.
func structured[T garden.Record, V any](name, says, example string, at func(*T) *V, none func(V) bool) field[T] {
	return field[T]{
		Field: Field{Name: name, Says: says, Example: example, Type: Text},
		read: func(_ *reading, v *T, s string) error {
			var fresh V
			*at(v) = fresh
			if s == "" {
				return nil
			}
			if err := json.Unmarshal([]byte(s), at(v)); err != nil {
				return &garden.Error{Kind: garden.Invalid, Text: quoted(clip(s)) + " is not written as such a value is, in JSON",
					Hint: "leave it as the export wrote it, or such as " + example, Cause: err}
			}
			return nil
		},
		write: func(_ *Writing, v T) string {
			if none(*at(&v)) {
				return ""
			}
			out, err := json.Marshal(*at(&v))
			if err != nil {
				return ""
			}
			return string(out)
		},
	}
}

func empty[E any](list []E) bool { return len(list) == 0 }

func clip(s string) string {
	if runes := []rune(s); len(runes) > 40 {
		return string(runes[:40]) + "…"
	}
	return s
}

func invalid(says, hint string) error {
	return &garden.Error{Kind: garden.Invalid, Text: says, Hint: hint}
}

// brief marks fields that a list shows.
func brief[T garden.Record](f field[T]) field[T] {
	f.Brief = true
	return f
}

// typed makes a field that is only read: a shorter way of writing others.
func typed[T garden.Record](f Field, read func(r *reading, v *T, s string) error) field[T] {
	f.Typed = true
	return field[T]{Field: f, read: read, write: func(*Writing, T) string { return "" }}
}
