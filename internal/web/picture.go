package web

import (
	"bytes"
	"context"
	"crypto/sha256"
	"image"
	"image/jpeg"
	_ "image/png" // pictures of forms sent without the script
	"io"
	"net/http"
	"slices"

	"fairplot/internal/garden"
)

// Bounds of a picture: a phone sends at most 1,600 dots of each side; more than fifty million dots are not unpacked at all.
const (
	pictureLimit = 4 << 20
	mostDots     = 50_000_000
	pictureKind  = "image/jpeg"
)

// pictureSent takes one picture of a note; the note itself came before and did not wait for it.
func (s *Server) pictureSent(w http.ResponseWriter, r *http.Request) error {
	id, err := garden.ParseID(r.PathValue("id"))
	note, noteErr := garden.ParseID(r.URL.Query().Get("note"))
	if err != nil || noteErr != nil || id.IsZero() || note.IsZero() || r.Header.Get("Content-Type") != pictureKind {
		http.Error(w, "This is not what a phone sends.", http.StatusBadRequest)
		return nil
	}
	data, err := io.ReadAll(r.Body)
	if err != nil {
		http.Error(w, "That picture is too large.", http.StatusRequestEntityTooLarge)
		return nil
	}
	got, err := s.takePicture(r.Context(), id, note, data, s.device(r))
	if err != nil {
		return err
	}
	return s.receipts(w, r, []Receipt{got})
}

func (s *Server) takePicture(ctx context.Context, id, note garden.ID, data []byte, from garden.DeviceID) (Receipt, error) {
	got := Receipt{ID: id.String(), Is: isNew}
	if _, had, err := s.Book.Had(ctx, id); had || err != nil {
		got.Is = isHad
		return got, err
	}
	clean, size, err := redrawn(data)
	if err != nil {
		got.Is, got.Why = isRefused, "the picture cannot be read"
		return got, nil
	}
	entry, had, err := s.Book.Had(ctx, note)
	if err != nil || !had {
		got.Is = isLater
		return got, err
	}
	err = s.alone(ctx, func(l *live) error {
		n, there := garden.Find(l.index, garden.Ref[garden.Note](entry.Record))
		if !there {
			got.Is, got.Why = isRefused, "its note was taken back"
			return nil
		}
		return s.keepPicture(ctx, n, id, clean, size, from)
	})
	return got, err
}

// keepPicture keeps the bytes, the picture's record and its place in the note.
func (s *Server) keepPicture(ctx context.Context, n garden.Note, id garden.ID, clean []byte, size image.Point, from garden.DeviceID) error {
	hash, err := s.Book.PutPicture(ctx, clean)
	if err != nil {
		return err
	}
	p := garden.Picture{ID: garden.PictureID(id), Hash: hash, Type: pictureKind, Width: size.X, Height: size.Y, Size: len(clean), Date: n.Date}
	n.Pictures = append(slices.Clone(n.Pictures), p.ID)
	sum := sha256.Sum256(clean)
	var ops []garden.Operation
	for i, rec := range []garden.Record{p, n} {
		body, err := garden.Encode(rec)
		if err != nil {
			return err
		}
		op := garden.Operation{ID: sibling(id, i), Action: garden.Add, Kind: rec.Kind(), Record: rec.Identity(), Body: body, Made: s.Now(), Device: from}
		if i == 1 {
			op.Action, op.Base = garden.Change, n.Rev
		} else {
			op.Sent = sum[:]
		}
		ops = append(ops, op)
	}
	_, err = s.Book.Keep(ctx, ops)
	return err
}

// redrawn unpacks a picture and packs it anew: what a camera writes beside the dots, the place above all, is left behind. A picture
// wider than a phone would send is made smaller.
func redrawn(data []byte) ([]byte, image.Point, error) {
	head, _, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, image.Point{}, err
	}
	if head.Width*head.Height > mostDots {
		return nil, image.Point{}, &garden.Error{Kind: garden.Refused, Text: "the picture has too many dots", Hint: "take a smaller one"}
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, image.Point{}, err
	}
	img = smaller(img, 1600)
	var out bytes.Buffer
	err = jpeg.Encode(&out, img, &jpeg.Options{Quality: 82})
	return out.Bytes(), img.Bounds().Size(), err
}

// smaller takes every nth dot, which is good enough for what only phones without the script send.
func smaller(img image.Image, most int) image.Image {
	b := img.Bounds()
	n := (max(b.Dx(), b.Dy()) + most - 1) / most
	if n <= 1 {
		return img
	}
	out := image.NewRGBA(image.Rect(0, 0, b.Dx()/n, b.Dy()/n))
	for y := range out.Rect.Dy() {
		for x := range out.Rect.Dx() {
			out.Set(x, y, img.At(b.Min.X+x*n, b.Min.Y+y*n))
		}
	}
	return out
}

// pictureOfForm takes the picture of a form sent without the script. Its id follows from the note's, so a second sending is the same.
func (s *Server) pictureOfForm(r *http.Request, note garden.ID, data []byte) error {
	if len(data) == 0 {
		return nil
	}
	id := note
	id[8] ^= 0x3f // another id of the same shape
	got, err := s.takePicture(r.Context(), id, note, data, s.device(r))
	if err == nil && got.Is == isRefused {
		err = &garden.Error{Kind: garden.Invalid, Field: "picture", Text: "the note is saved, but " + got.Why, Hint: "pictures are JPEG or PNG"}
	}
	return err
}

// picture shows one.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) error {
	id, _ := garden.ParseID(r.PathValue("id"))
	var p garden.Picture
	var there bool
	if err := s.look(r.Context(), func(l *live) error { p, there = garden.Find(l.index, garden.PictureID(id)); return nil }); err != nil {
		return err
	}
	if !there {
		return &garden.Error{Kind: garden.Missing, Text: "there is no such picture", Hint: "it may not have been sent yet"}
	}
	data, err := s.Book.Picture(r.Context(), p.Hash)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", p.Type)
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	_, err = w.Write(data)
	return err
}
