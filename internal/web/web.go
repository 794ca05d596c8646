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
	// Keep keeps operations, all of them or none, and returns a receipt for each.
	Keep(ctx context.Context, ops []garden.Operation) ([]garden.Receipt, error)
	// Undo takes an operation back by another, or says what depends on it.
	Undo(ctx context.Context, op garden.ID, by garden.Operation) (garden.Receipt, error)
	// Had returns an operation that was kept before; its Sent is the hash it is known by.
	Had(ctx context.Context, op garden.ID) (garden.Operation, bool, error)
	// Past returns the history, newest first: at most n lines before the one given (zero: from the newest).
	Past(ctx context.Context, before garden.ID, n int) ([]garden.Past, error)
	// Asked logs a question by its canonical text and returns how many distinct ones have been asked, it included.
	Asked(ctx context.Context, canonical string) (int, error)
	// ID is the book's own, which a restored copy changes.
	ID(ctx context.Context) (garden.ID, error)
	// Version grows by one with every operation kept.
	Version(ctx context.Context) (int64, error)
	// PutPicture keeps the bytes of a picture and returns their SHA-256; Picture returns them again.
	PutPicture(ctx context.Context, data []byte) (string, error)
	Picture(ctx context.Context, hash string) ([]byte, error)
}

// Config is what a server is made of.
type Config struct {
	Book  Book
	Name  string // of the book's file, for the head of the pages
	Now   func() time.Time
	NewID func() garden.ID
	Build string // changes with every build of the program

	Phones    *Phones         // nil: no door for phones
	Secure    bool            // this door speaks TLS
	Doors     func() []string // addresses that a phone can open, the best first
	Safe      func() []string // the same over https; empty without an authority
	Authority *Authority      // of this home; nil without
}

// Server holds the pages of one book. Doors of several kinds may share one by Secured.
type Server struct {
	Config
	*shared
}

// shared is what every door of a book has in common.
type shared struct {
	pages pages
	files map[string]file
	live  live
	drawn shelf
	got   worked
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
	return &Server{Config: c, shared: &shared{pages: p, files: files}}, nil
}

// Secured returns the same server for the door that speaks TLS.
func (s *Server) Secured() *Server {
	out := *s
	out.Secure = true
	return &out
}

// Handler returns the pages, to be wrapped by a Guard.
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
		"GET /{$}":                   s.kept(s.today),
		"GET /diary":                 s.kept(s.diary),
		"POST /diary/{op}/take-back": s.takeBack,
		"GET /ground":                s.kept(s.ground),
		"GET /planting/{id}":         s.kept(s.planting),
		"POST /planting/{id}/end":    s.endPlanting,
		"GET /seasons":               s.kept(s.seasons),
		"GET /ask":                   s.ask,
		"GET /ask/{question}":        s.answer,
		"GET /reckon":                s.reckons,
		"GET /reckon/{name}":         s.reckon,
		"GET /sort-out":              s.sortOut,
		"GET /sort-out/{id}":         s.place,
		"POST /sort-out/{id}":        s.placed,
		"POST /missing":              s.closeMissed,
		"POST /sheets":               s.newSheet,
		"GET /sheets":                s.sheets,
		"GET /sheets/{number}":       s.sheet,
		"GET /sheets/{number}/type":  s.grid,
		"POST /sheets/{number}/type": s.gridSent,
		"GET /bring-in":              s.bringIn,
		"POST /bring-in":             s.broughtIn,
		"GET /pictures/{id}":         s.picture,
		"GET /settings":              s.settings,
		"POST /settings":             s.setSettings,

		"GET /note":                 s.note,
		"GET /kept":                 s.keptHere,
		"GET /note/{kind}":          s.noteKind,
		"POST /note/{kind}":         s.noteSent,
		"POST /api/entries":         s.entries,
		"POST /api/pictures/{id}":   s.pictureSent,
		"GET /worker.js":            s.worker,
		"GET /join":                 s.join,
		"POST /join":                s.joined,
		"GET /phones":               s.phones,
		"POST /phones/code":         s.phoneCode,
		"POST /phones/{id}/cut-off": s.cutOff,
		"GET /ca.crt":               s.certificate,
		"GET /":                     s.nowhere,
	}
}

// nowhere answers addresses that lead to no page.
func (s *Server) nowhere(http.ResponseWriter, *http.Request) error {
	return &garden.Error{Kind: garden.Missing, Text: "there is no such page", Hint: "begin at the first one"}
}
