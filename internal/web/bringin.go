package web

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"strings"

	"fairplot/internal/garden"
)

// bringInLimit bounds a file of entries: some twenty thousand of them.
const bringInLimit = 8 << 20

// bringInPage takes a file that a phone wrote of what it could not send.
type bringInPage struct {
	Page
	Done  bool
	New   int
	Had   int
	Wrong []string
	Error string
}

func (s *Server) bringIn(w http.ResponseWriter, r *http.Request) error {
	return s.render(w, r, http.StatusOK, "bringin", bringInPage{Page: s.page("Bring in what a phone kept", "diary")})
}

func (s *Server) broughtIn(w http.ResponseWriter, r *http.Request) error {
	p := bringInPage{Page: s.page("Bring in what a phone kept", "diary")}
	if err := readForm(r); err != nil {
		return err
	}
	text := r.PostForm.Get("entries")
	if r.MultipartForm != nil && len(r.MultipartForm.File["file"]) > 0 {
		f, err := r.MultipartForm.File["file"][0].Open()
		if err != nil {
			return err
		}
		defer f.Close()
		data, err := io.ReadAll(f)
		if err != nil {
			return err
		}
		text += "\n" + string(data)
	}
	if strings.TrimSpace(text) == "" {
		p.Error, p.Amiss = "there is nothing in it; choose the file that the phone saved", true
		return s.render(w, r, http.StatusUnprocessableEntity, "bringin", p)
	}
	got, err := s.TakeFile(r.Context(), strings.NewReader(text), s.device(r))
	if err != nil {
		return err
	}
	p.Done = true
	for _, g := range got {
		switch g.Is {
		case isNew:
			p.New++
		case isHad:
			p.Had++
		default:
			p.Wrong = append(p.Wrong, g.Why)
		}
	}
	return s.render(w, r, http.StatusOK, "bringin", p)
}

// TakeFile keeps the entries of a file, one on each line as a phone wrote them, by the same door as what a phone sends: a line that arrives
// both ways is kept once.
func (s *Server) TakeFile(ctx context.Context, file io.Reader, from garden.DeviceID) ([]Receipt, error) {
	lines := bufio.NewScanner(file)
	lines.Buffer(nil, 1<<20)
	var out []Receipt
	var some []string
	take := func() error {
		got, err := s.Take(ctx, some, from)
		out, some = append(out, got...), nil
		return err
	}
	for lines.Scan() {
		if line := strings.TrimSpace(lines.Text()); line != "" {
			some = append(some, line)
		}
		if len(some) == entriesLimit {
			if err := take(); err != nil {
				return out, err
			}
		}
	}
	if err := lines.Err(); err != nil {
		return out, &garden.Error{Kind: garden.Invalid, Text: "the file cannot be read", Hint: "choose the file that the phone saved", Cause: err}
	}
	if len(some) == 0 {
		return out, nil
	}
	return out, take()
}
