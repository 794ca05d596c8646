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
var onPhone = map[string]bool{"walk": true, "noteform": true, "notes": true, "kept": true, "join": true}

// pieces are the files that other pages are put together with.
var pieces = []string{"page/table.html", "page/pieces.html"}

// pages are the templates, each whole with the layout, by name.
type pages map[string]*template.Template

// file is one embedded file, ready to send.
type file struct {
	plain, zipped []byte
	kind, tag     string
}

func newFile(plain []byte, kind string) file {
	sum := sha256.Sum256(plain)
	return file{plain: plain, zipped: zip(plain), tag: hex.EncodeToString(sum[:8]), kind: kind}
}

// loadFiles reads the static files and packs them once. Each is asked for under an address with its hash, so that it may be kept for
// ever. The scripts of the folder note go out as one file: a phone far from the house asks as seldom as it can.
func loadFiles() (map[string]file, error) {
	out := map[string]file{}
	var note bytes.Buffer
	note.WriteString("\"use strict\";\n(() => {\n")
	err := fs.WalkDir(staticFiles, "static", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		plain, err := staticFiles.ReadFile(name)
		if err != nil {
			return err
		}
		if path.Dir(name) == "static/note" {
			note.Write(bare(plain))
			return nil
		}
		out["/"+name] = newFile(plain, kindOf(name))
		return nil
	})
	note.WriteString("})();\n")
	out["/static/note.js"] = newFile(note.Bytes(), kindOf("note.js"))
	return out, err
}

func kindOf(name string) string {
	if path.Ext(name) == ".webmanifest" { // not every system's table knows it
		return "application/manifest+json"
	}
	return mime.TypeByExtension(path.Ext(name))
}

// bare leaves out the lines of a script that hold nothing but a comment.
func bare(script []byte) []byte {
	var out []byte
	for line := range bytes.Lines(script) {
		if !bytes.HasPrefix(bytes.TrimSpace(line), []byte("//")) {
			out = append(out, line...)
		}
	}
	return out
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
		"pair": func(pairs ...any) map[string]any {
			out := map[string]any{}
			for i := 0; i+1 < len(pairs); i += 2 {
				out[fmt.Sprint(pairs[i])] = pairs[i+1]
			}
			return out
		},
	}
	names, err := fs.Glob(pageFiles, "page/*.html")
	if err != nil {
		return nil, err
	}
	out := pages{}
	for _, name := range names {
		base := strings.TrimSuffix(path.Base(name), ".html")
		if base == "layout" || base == "phone" || base == "table" || base == "pieces" {
			continue
		}
		frame := "layout.html"
		if onPhone[base] {
			frame = "phone.html"
		}
		t, err := template.New(frame).Funcs(funcs).ParseFS(pageFiles, append([]string{"page/" + frame, name}, pieces...)...)
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
	Open   bool // the door for phones is open, which every page of the table says
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
	return send(w, r, status, b.Bytes())
}

// send sends a drawn page, packed where that pays.
func send(w http.ResponseWriter, r *http.Request, status int, body []byte) error {
	h := w.Header()
	h.Set("Content-Type", "text/html; charset=utf-8")
	if h.Get("Cache-Control") == "" {
		h.Set("Cache-Control", "no-cache")
	}
	if len(body) > 1024 && accepts(r) {
		h.Set("Content-Encoding", "gzip")
		h.Add("Vary", "Accept-Encoding")
		body = quick(body)
	}
	w.WriteHeader(status)
	_, err := w.Write(body)
	return err
}

// quick packs a page that is sent once.
func quick(plain []byte) []byte {
	var b bytes.Buffer
	w, _ := gzip.NewWriterLevel(&b, gzip.BestSpeed+3) // the level is a constant that exists
	_, _ = w.Write(plain)                             // a buffer takes everything
	_ = w.Close()
	return b.Bytes()
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
		h.Add("Vary", "Accept-Encoding")
		body = f.zipped
	}
	_, _ = w.Write(body) // the reader went away: nothing is to be done about it
}

// worker is the script that shelves the pages for noting on https; its name for the shelf changes with any of the files.
func (s *Server) worker(w http.ResponseWriter, _ *http.Request) error {
	var files []string
	for _, name := range []string{"look.css", "note.js", "icon.svg", "manifest.webmanifest"} {
		files = append(files, fmt.Sprintf("%q", "/static/"+name+"?"+s.files["/static/"+name].tag))
	}
	for _, k := range noteKinds {
		files = append(files, fmt.Sprintf("%q", "/note/"+k.name))
	}
	files = append(files, `"/note"`, `"/kept"`, `"/note/harvest"`, `"/note/round"`)
	list := strings.Join(files, ",")
	sum := sha256.Sum256([]byte(list + s.Build))
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, err := fmt.Fprintf(w, "\"use strict\";\nconst shelf = \"fairplot-%x\", files = [%s];\n%s", sum[:6], list, s.files["/static/worker.js"].plain)
	return err
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
		p := problemPage{Page: s.page("That did not work", ""), Text: "Something went wrong here, not with what you did", Hint: "go back and try again"}
		p.Amiss = true
		status := http.StatusInternalServerError
		var known *garden.Error
		if errors.As(err, &known) && known.Kind != garden.Internal {
			status, p.Text, p.Hint = statusOf[known.Kind], known.Text, known.Hint
		}
		if strings.HasPrefix(r.URL.Path, "/api/") {
			http.Error(w, p.Text, status)
			return
		}
		if err := s.render(w, r, status, "problem", p); err != nil {
			http.Error(w, p.Text, status)
		}
	}
}

// page fills in what every page has.
func (s *Server) page(title, part string) Page {
	return Page{Title: title, Part: part, Book: s.Name, Open: s.Phones != nil}
}
