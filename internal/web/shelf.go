package web

import (
	"bytes"
	"fmt"
	"net/http"
	"sync"
)

// shelf keeps pages that are dear to draw until the records or the day change.
type shelf struct {
	mu   sync.Mutex
	of   string // version and day that all of them were drawn at
	kept map[string][]byte
}

// shelfSize bounds the pages kept; when it is full all of them go, since those that matter are soon drawn again.
const shelfSize = 100

func (sh *shelf) get(of, key string) ([]byte, bool) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if sh.of != of {
		return nil, false
	}
	body, ok := sh.kept[key]
	return body, ok
}

func (sh *shelf) put(of, key string, body []byte) {
	sh.mu.Lock()
	defer sh.mu.Unlock()
	if sh.of != of || len(sh.kept) >= shelfSize {
		sh.of, sh.kept = of, map[string][]byte{}
	}
	sh.kept[key] = body
}

// drawing is a response that is kept as well as sent.
type drawing struct {
	http.ResponseWriter
	body   bytes.Buffer
	status int
}

func (d *drawing) WriteHeader(status int) { d.status = status }

func (d *drawing) Write(p []byte) (int, error) { return d.body.Write(p) }

// kept answers from the shelf where the same address was drawn from the same records before.
func (s *Server) kept(h handler) handler {
	return func(w http.ResponseWriter, r *http.Request) error {
		version, err := s.Book.Version(r.Context())
		if err != nil {
			return err
		}
		return s.keptAs(w, r, fmt.Sprintf("%d %v", version, s.day()), r.URL.RequestURI(), h)
	}
}

func (s *Server) keptAs(w http.ResponseWriter, r *http.Request, of, key string, h handler) error {
	if body, ok := s.drawn.get(of, key); ok {
		return send(w, r, http.StatusOK, body)
	}
	plain := r.Clone(r.Context())
	plain.Header.Del("Accept-Encoding") // what is kept is packed anew for each who asks
	d := &drawing{ResponseWriter: w}
	if err := h(d, plain); err != nil {
		return err
	}
	if d.status == http.StatusOK {
		s.drawn.put(of, key, d.body.Bytes())
	}
	return send(w, r, d.status, d.body.Bytes())
}
