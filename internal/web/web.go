// Package web serves the pages: the table's and the phone's, drawn on this machine from what is embedded, with nothing fetched from
// elsewhere. It reaches records through one small interface and knows no database. What it must not do without being
// told (the clock, chance, addresses to listen on) is handed in.
package web

import (
	"context"
	"net/http"
	"time"

	"fairplot/internal/garden"
)

// Book is how pages reach the records.
type Book interface {
	// Read returns the records wanted.
	Read(ctx context.Context, want garden.Want) (garden.Records, error)
	// Apply keeps operations and returns a receipt for each.
	Apply(ctx context.Context, ops []garden.Operation) ([]garden.Receipt, error)
	// Asked logs a question by its canonical text and returns how many distinct ones have been asked, it included; "" only counts.
	Asked(ctx context.Context, canonical string) (int, error)
	// Past returns the history, newest first: at most n lines before the one given (zero: from the newest).
	Past(ctx context.Context, before garden.ID, n int) ([]garden.Past, error)
	// Undo takes an operation back by another, or says what depends on it.
	Undo(ctx context.Context, op garden.ID, by garden.Operation) (garden.Receipt, error)
	// Had returns the receipt of an operation that was kept before.
	Had(ctx context.Context, op garden.ID) (garden.Operation, bool, error)
	// ID is the book's own, which a restored copy changes.
	ID(ctx context.Context) (garden.ID, error)
	// Version changes whenever the records do.
	Version(ctx context.Context) (int64, error)
}

// Config is what a server is made of.
type Config struct {
	Book  Book
	Name  string // of the book's file, for the head of the pages
	Now   func() time.Time
	NewID func() garden.ID
	Build string // changes with every build of the program

	Phones *Phones         // nil: no door for phones
	Secure bool            // this door speaks TLS
	Doors  func() []string // addresses that a phone can open, for the page that joins phones
}

// Server holds the pages of one book.
type Server struct {
	Config
	pages pages
	files map[string]file
}

// New returns a server of the book.
func New(c Config) (*Server, error) {
	files, err := loadFiles()
	if err != nil {
		return nil, err
	}
	p, err := loadPages(files)
	if err != nil {
		return nil, err
	}
	return &Server{Config: c, pages: p, files: files}, nil
}

// Handler returns the pages of the table, to be wrapped by a Guard.
func (s *Server) Handler() http.Handler {
	mux := http.NewServeMux()
	for path := range s.files {
		mux.HandleFunc("GET "+path, s.serveFile)
	}
	for pattern, h := range s.routes() {
		mux.HandleFunc(pattern, s.wrap(h))
	}
	return mux
}

// handler draws a page or says why not; wrap turns the error into an answer.
type handler func(w http.ResponseWriter, r *http.Request) error

// routes lists every page in one place.
func (s *Server) routes() map[string]handler {
	return map[string]handler{
		"GET /{$}":                   s.today,
		"GET /diary":                 s.diary,
		"POST /diary/{op}/take-back": s.takeBack,
		"GET /ground":                s.ground,
		"GET /planting/{id}":         s.planting,
		"GET /seasons":               s.seasons,
		"GET /ask":                   s.ask,
		"GET /ask/{question}":        s.answer,
		"GET /note":                  s.note,
		"GET /note/{kind}":           s.noteKind,
		"POST /note/{kind}":          s.noteForm,
		"POST /api/entries":          s.entries,
		"GET /join":                  s.join,
		"POST /join":                 s.joined,
		"GET /phones":                s.phones,
		"POST /phones/code":          s.phoneCode,
		"POST /phones/{id}/cut-off":  s.cutOff,
	}
}
