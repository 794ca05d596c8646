package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"

	"fairplot/internal/garden"
)

//go:embed page/*.html
var pageFiles embed.FS

//go:embed static
var staticFiles embed.FS

// onPhone are the pages that have the phone's frame: nothing above the work but the state line.
var onPhone = map[string]bool{"walk": true, "noteform": true, "notes": true, "join": true}

// pages are the templates, each whole with the layout, by name.
type pages map[string]*template.Template

// file is one embedded file, ready to send.
type file struct {
	plain, zipped []byte
	kind, tag     string
}

// loadFiles reads the static files and packs them once. Each is served under a path with its hash, so that it may be kept for ever.
func loadFiles() (map[string]file, error) {
	out := map[string]file{}
	err := fs.WalkDir(staticFiles, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		plain, err := staticFiles.ReadFile(name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(plain)
		f := file{plain: plain, zipped: zip(plain), tag: hex.EncodeToString(sum[:8]), kind: mime.TypeByExtension(path.Ext(name))}
		out["/"+name] = f
		return nil
	})
	return out, err
}

func zip(plain []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestCompression) // the level is a constant that exists
	if _, err := w.Write(plain); err != nil {
		return nil
	}
	if err := w.Close(); err != nil {
		return nil
	}
	return b.Bytes()
}

// loadPages parses every page with the layout.
func loadPages(files map[string]file) (pages, error) {
	funcs := template.FuncMap{
		"asset": func(name string) (string, error) {
			f, ok := files["/static/"+name]
			if !ok {
				return "", fmt.Errorf("no static file %q", name)
			}
			return "/static/" + name + "?" + f.tag, nil
		},
	}
	names, err := fs.Glob(pageFiles, "page/*.html")
	if err != nil {
		return nil, err
	}
	out := pages{}
	for _, name := range names {
		base := strings.TrimSuffix(path.Base(name), ".html")
		if base == "layout" || base == "phone" || base == "table" {
			continue
		}
		frame := "layout.html"
		if onPhone[base] {
			frame = "phone.html"
		}
		t, err := template.New(frame).Funcs(funcs).ParseFS(pageFiles, "page/"+frame, "page/table.html", name)
		if err != nil {
			return nil, err
		}
		out[base] = t
	}
	return out, nil
}

// Page is what every page has beside its own: the layout reads it.
type Page struct {
	Title  string
	Part   string // which part of the book is marked in the contents line
	Book   string
	Demo   bool // the book says that it is invented
	Amiss  bool // something was wrong with what was sent: the title begins so
	Script string
}

// render draws a page in full before anything is sent, so that a fault never leaves half a page.
func (s *Server) render(w http.ResponseWriter, r *http.Request, status int, name string, data any) error {
	t, ok := s.pages[name]
	if !ok {
		return fmt.Errorf("no page %q", name)
	}
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		return err
	}
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "no-cache")
	}
	body := b.Bytes()
	if len(body) > 1024 && accepts(r) {
		h.Set("Content-Encoding", "gzip")
		h.Set("Vary", "Accept-Encoding")
		body = zip(body)
	}
	w.WriteHeader(status)
	_, err := w.Write(body)
	return err
}

func accepts(r *http.Request) bool {
	return strings.Contains(r.Header.Get("Accept-Encoding"), "gzip")
}

func (s *Server) serveFile(w http.ResponseWriter, r *http.Request) {
	f := s.files[r.URL.Path]
	h := w.Header()
	h.Set("Content-Type", f.kind)
	h.Set("ETag", `"`+f.tag+`"`)
	h.Set("Cache-Control", "private, max-age=31536000, immutable")
	if r.URL.RawQuery != f.tag {
		h.Set("Cache-Control", "no-cache")
	}
	if r.Header.Get("If-None-Match") == h.Get("ETag") {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	body := f.plain
	if accepts(r) && len(f.zipped) > 0 && len(f.zipped) < len(body) {
		h.Set("Content-Encoding", "gzip")
		h.Set("Vary", "Accept-Encoding")
		body = f.zipped
	}
	_, _ = w.Write(body) // the reader went away: nothing is to be done about it
}

// statusOf is the one table from kinds of error to HTTP status.
var statusOf = map[garden.ErrorKind]int{
	garden.Internal:  http.StatusInternalServerError,
	garden.Invalid:   http.StatusUnprocessableEntity,
	garden.Missing:   http.StatusNotFound,
	garden.Ambiguous: http.StatusUnprocessableEntity,
	garden.Conflict:  http.StatusConflict,
	garden.Refused:   http.StatusConflict,
	garden.Foreign:   http.StatusServiceUnavailable,
	garden.Newer:     http.StatusServiceUnavailable,
	garden.Damaged:   http.StatusServiceUnavailable,
	garden.Busy:      http.StatusServiceUnavailable,
	garden.Full:      http.StatusInsufficientStorage,
	garden.ReadOnly:  http.StatusServiceUnavailable,
}

// problemPage says that something could not be done, and how to mend it.
type problemPage struct {
	Page
	Text, Hint string
}

// wrap turns a handler's error into a page. Faults of our own are not told in detail.
func (s *Server) wrap(h handler) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		err := h(w, r)
		if err == nil {
			return
		}
		p := problemPage{Page: s.page("That did not work", ""), Text: "Something went wrong here, not with what you did.", Hint: "Go back and try again."}
		status := http.StatusInternalServerError
		var known *garden.Error
		if errors.As(err, &known) && known.Kind != garden.Internal {
			status, p.Text, p.Hint = statusOf[known.Kind], known.Text, known.Hint
		}
		if err := s.render(w, r, status, "problem", p); err != nil {
			http.Error(w, p.Text, status)
		}
	}
}

// page fills in what every page has.
func (s *Server) page(title, part string) Page {
	return Page{Title: title, Part: part, Book: s.Name}
}
