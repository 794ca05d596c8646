package web

import (
	"errors"
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// contentPolicy lets pages use only what this program embeds: no inline script or style, nothing from elsewhere, no frame round them.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; manifest-src 'self'; " +
	"worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// bodyLimit is the most that an ordinary request may carry; imports and pictures have limits of their own.
const bodyLimit = 256 << 10

// Guard stands before every page: it checks the address asked for (the only cure for DNS rebinding), where a change comes from, and who asks, and
// it sets the headers.
type Guard struct {
	Hosts  func() []string // exact host:port that are this program's own; asked each time since addresses change
	Secure bool            // this door speaks TLS
	Phones *Phones         // nil: the door is for this computer only
}

// Wrap puts the guard before the pages.
func (g *Guard) Wrap(next http.Handler) http.Handler {
	inner := http.NewCrossOriginProtection().Handler(g.admit(next))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		g.headers(w.Header())
		if !slices.Contains(g.Hosts(), r.Host) {
			http.Error(w, "This address is not one of mine. Open the one that the program printed.", http.StatusMisdirectedRequest)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit(r.URL.Path))
		inner.ServeHTTP(w, r)
	})
}

func limit(path string) int64 {
	switch {
	case strings.HasPrefix(path, "/api/pictures/"):
		return pictureLimit
	case path == "/note/note":
		return maxForm
	case path == "/bring-in":
		return bringInLimit
	}
	return bodyLimit
}

// headers are the same on every answer. The referrer policy must not be "no-referrer": on plain http forms then carry the origin "null" and are
// refused as foreign.
func (g *Guard) headers(h http.Header) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	if g.Secure {
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
	}
}

// admit lets this computer in, and phones that were joined; others may only ask to join and fetch what the joining page needs.
func (g *Guard) admit(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case fromDesk(r), open(r.URL.Path):
			next.ServeHTTP(w, r)
		case g.Phones != nil && g.Phones.knows(r, g.Secure):
			g.Phones.renew(w, r, g.Secure)
			next.ServeHTTP(w, r)
		case g.Phones == nil:
			http.Error(w, "This door is for the computer it runs on.", http.StatusForbidden)
		case r.Method == http.MethodGet && !strings.HasPrefix(r.URL.Path, "/api/"):
			to := "/join"
			if r.URL.Query().Has("joined") { // it did a moment ago, and did not keep the cookie
				to += "?forgotten"
			}
			http.Redirect(w, r, to, http.StatusSeeOther)
		default:
			http.Error(w, "This phone must be joined again. What it holds is kept.", http.StatusUnauthorized)
		}
	})
}

// open are the paths that need no joining.
func open(path string) bool {
	return path == "/join" || path == "/ca.crt" || strings.HasPrefix(path, "/static/")
}

// fromDesk reports whether somebody sits at the home computer: by the connection, since forwarding headers can be made up, and by a name that only
// this computer has for itself, so that what is meant for phones is always asked for its cookie.
func fromDesk(r *http.Request) bool {
	name := r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil {
		name = host
	}
	return fromLoopback(r) && (name == "localhost" || isLoopback(name))
}

func isLoopback(host string) bool {
	addr, err := netip.ParseAddr(host)
	return err == nil && addr.Unmap().IsLoopback()
}

func fromLoopback(r *http.Request) bool {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return false
	}
	return isLoopback(host)
}

// tooLarge reports whether an error came from the limit on bodies.
func tooLarge(err error) bool {
	var most *http.MaxBytesError
	return errors.As(err, &most)
}
