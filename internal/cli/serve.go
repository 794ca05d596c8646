package cli

import (
	"context"
	"crypto/sha256"
	"crypto/tls"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"fairplot/internal/book"
	"fairplot/internal/garden"
	"fairplot/internal/web"

	"github.com/spf13/cobra"
)

// usualPort is where the pages are. It is fixed, since what a phone holds belongs to the address it was noted at; https has the next one.
const usualPort = 8417

// serving is what was asked for.
type serving struct {
	port  int
	share bool
	safe  bool
	names []string
}

func serveCommand(a *app) *cobra.Command {
	o := serving{}
	c := &cobra.Command{
		Use: "serve", Short: "show the pages of the book in a browser, and to phones with --share", GroupID: groupBook, Args: exactly(),
		Long: "Without --share the pages can be opened on this computer only. With it, phones in the same network may join with a\n" +
			"code that the page Phones makes. The book may be used by other commands meanwhile. Ctrl-C ends it.",
		Example: "  fairplot serve\n  fairplot serve --share --safe --name garden.lan",
		RunE:    func(*cobra.Command, []string) error { return a.serve(o) },
	}
	c.Flags().IntVar(&o.port, "port", usualPort, "the port of the pages; https has the next one")
	c.Flags().BoolVar(&o.share, "share", false, "open the door for phones in the home network")
	c.Flags().BoolVar(&o.safe, "safe", false, "with --share: also https, by a certificate of this home, so that the pages open with no signal")
	c.Flags().StringSliceVar(&o.names, "name", nil, "a further name of this computer in the home network, such as garden.lan")
	return c
}

// pagesOf joins the book to the pages.
type pagesOf struct{ *book.Book }

// Keep keeps operations, all or none.
func (b pagesOf) Keep(ctx context.Context, ops []garden.Operation) ([]garden.Receipt, error) {
	receipts, err := b.CopyIn(ctx, ops, nil)
	if err != nil {
		for _, r := range receipts {
			if r.Outcome == garden.RefusedOut || r.Outcome == garden.Clashed {
				return receipts, &garden.Error{Kind: garden.Refused, Text: r.Says, Hint: "look at the diary for what changed meanwhile", Cause: err}
			}
		}
	}
	return receipts, err
}

// Past returns part of the history.
func (b pagesOf) Past(ctx context.Context, before garden.ID, n int) ([]garden.Past, error) {
	return b.History(ctx, book.Look{Before: before, Limit: n})
}

// webServer makes the pages of the book.
func (a *app) webServer() (*web.Server, *book.Book, error) {
	b, err := a.open()
	if err != nil {
		return nil, nil, err
	}
	name := strings.TrimSuffix(filepath.Base(b.Path()), extension)
	s, err := web.New(web.Config{Book: pagesOf{b}, Name: name, Now: a.env.Now, NewID: a.newID, Build: build()})
	return s, b, err
}

// build tells one build of the program from another.
func build() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	sum := sha256.Sum256([]byte(info.String()))
	return hex.EncodeToString(sum[:6])
}

// serve runs the pages until it is told to stop.
func (a *app) serve(o serving) error {
	if o.port < 1 || o.port > 65534 {
		return &usageError{text: fmt.Sprintf("serve: %d is no port; choose one from 1024 to 65534", o.port)}
	}
	if o.safe && !o.share {
		return &usageError{text: "serve: --safe is about phones; give --share with it"}
	}
	s, b, err := a.webServer()
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(a.ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	h := &house{port: o.port, extra: o.names, now: a.env.Now}
	if o.share {
		if err := a.letPhonesIn(s, b.Path(), h, o.safe); err != nil {
			return err
		}
	}
	doors, err := openDoors(s, h, o)
	if err != nil {
		return err
	}
	a.words("the pages of %s are open at http://localhost:%d", filepath.Base(b.Path()), o.port)
	for _, d := range h.addresses("http", o.port) {
		if o.share {
			a.words("  for phones: %s", d)
		}
	}
	if o.safe {
		for _, d := range h.addresses("https", o.port+1) {
			a.words("  with no signal too, once the phone trusts this home: %s", d)
		}
	}
	a.words("Ctrl-C ends it")
	return runDoors(ctx, doors)
}

// letPhonesIn reads the list of phones, and the certificate of this home, from files beside the book. They are no part of it: a copy of
// the book lets nobody in.
func (a *app) letPhonesIn(s *web.Server, path string, h *house, safe bool) error {
	file := path + ".phones.json"
	joined, err := readPhones(file)
	if err != nil {
		return err
	}
	s.Phones = web.NewPhones(joined, a.env.Now, a.env.Entropy, func(list []web.Phone) error { return writePhones(file, list) })
	s.Doors = func() []string { return h.addresses("http", h.port) }
	if !safe {
		return nil
	}
	s.Safe = func() []string { return h.addresses("https", h.port+1) }
	s.Authority, err = a.authority(path+".home.crt", path+".home.key")
	return err
}

// door is one listener with the server behind it.
type door struct {
	server   *http.Server
	listener net.Listener
}

// openDoors listens before anything is said, so that a port that is taken is an error and not a page that cannot be reached.
func openDoors(s *web.Server, h *house, o serving) (doors []door, err error) {
	defer func() {
		if err != nil {
			for _, d := range doors {
				err = errors.Join(err, d.listener.Close())
			}
		}
	}()
	guard := &web.Guard{Hosts: func() []string { return h.hosts(o.port) }, Phones: s.Phones}
	for _, at := range h.listenAt(o.share, o.port) {
		l, err := listen(at, o.port)
		if err != nil {
			return doors, err
		}
		if l != nil {
			doors = append(doors, door{newServer(guard.Wrap(s.Handler())), limited(l, mostConnections)})
		}
	}
	if !o.safe {
		return doors, nil
	}
	l, err := listen(net.JoinHostPort("", strconv.Itoa(o.port+1)), o.port+1)
	if err != nil {
		return doors, err
	}
	secure := &web.Guard{Hosts: func() []string { return h.hosts(o.port + 1) }, Phones: s.Phones, Secure: true}
	authority := s.Authority
	leaf := &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: func(*tls.ClientHelloInfo) (*tls.Certificate, error) {
		return authority.Leaf(append([]string{"localhost", "127.0.0.1", "::1"}, h.names()...))
	}}
	doors = append(doors, door{newServer(secure.Wrap(s.Secured().Handler())), tls.NewListener(limited(l, mostConnections), leaf)})
	return doors, nil
}

// listen opens a port. A computer without IPv6 has no second loopback address, which is no fault.
func listen(at string, port int) (net.Listener, error) {
	l, err := net.Listen("tcp", at)
	switch {
	case err == nil:
		return l, nil
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &garden.Error{Kind: garden.Busy, Text: fmt.Sprintf("the port %d is taken by another program, or fairplot serves already", port),
			Hint: "end that one, or choose another with --port; phones that joined at the old one must then join anew", Cause: err}
	case strings.HasPrefix(at, "[::1]"):
		return nil, nil
	}
	return nil, &garden.Error{Kind: garden.Refused, Text: fmt.Sprintf("the port %d cannot be opened", port), Hint: "choose one above 1023 with --port", Cause: err}
}

// Bounds of a server in a home network: slow or stuck clients do not hold it up.
const (
	headerWait      = 5 * time.Second
	bodyWait        = 30 * time.Second
	idleWait        = 60 * time.Second
	headerBytes     = 16 << 10
	mostConnections = 64
	closingWait     = 5 * time.Second
)

func newServer(h http.Handler) *http.Server {
	return &http.Server{Handler: h, ReadHeaderTimeout: headerWait, ReadTimeout: bodyWait, WriteTimeout: bodyWait, IdleTimeout: idleWait, MaxHeaderBytes: headerBytes}
}

// runDoors serves until the context ends or a door fails, then lets what is under way finish.
func runDoors(ctx context.Context, doors []door) error {
	failed := make(chan error, len(doors))
	for _, d := range doors {
		go func() { failed <- d.server.Serve(d.listener) }()
	}
	var err error
	select {
	case <-ctx.Done():
	case err = <-failed:
	}
	calm, cancel := context.WithTimeout(context.WithoutCancel(ctx), closingWait)
	defer cancel()
	for _, d := range doors {
		if e := d.server.Shutdown(calm); e != nil && !errors.Is(e, context.DeadlineExceeded) {
			err = errors.Join(err, e)
		}
	}
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// limitedListener lets in no more connections at once than it has places.
type limitedListener struct {
	net.Listener
	places chan struct{}
}

func limited(l net.Listener, n int) net.Listener {
	return &limitedListener{Listener: l, places: make(chan struct{}, n)}
}

// Accept waits for a place, then for a connection.
func (l *limitedListener) Accept() (net.Conn, error) {
	l.places <- struct{}{}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.places
		return nil, err
	}
	return &placed{Conn: c, leave: sync.OnceFunc(func() { <-l.places })}, nil
}

type placed struct {
	net.Conn
	leave func()
}

// Close gives the place free.
func (c *placed) Close() error {
	defer c.leave()
	return c.Conn.Close()
}

// house knows under which names and addresses this computer can be reached. They may change while it runs.
type house struct {
	port  int
	extra []string
	now   func() time.Time

	mu    sync.Mutex
	known []string
	asked time.Time
}

// refreshAfter is how long addresses are believed.
const refreshAfter = 10 * time.Second

// names are the names and addresses beyond loopback, those that stay the same first.
func (h *house) names() []string {
	h.mu.Lock()
	defer h.mu.Unlock()
	if now := h.now(); h.known == nil || now.Sub(h.asked) > refreshAfter {
		h.known, h.asked = append(slices.Clone(h.extra), machineNames()...), now
	}
	return h.known
}

func machineNames() []string {
	out := []string{}
	if name, err := os.Hostname(); err == nil && name != "" && name != "localhost" {
		name = strings.ToLower(name)
		if !strings.Contains(name, ".") {
			out = append(out, name+".local")
		}
		out = append(out, name)
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		return out
	}
	for _, a := range addresses {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && n.IP.IsPrivate() {
			out = append(out, n.IP.String())
		}
	}
	return out
}

func (h *house) hosts(port int) []string {
	var out []string
	for _, n := range append([]string{"localhost", "127.0.0.1", "::1"}, h.names()...) {
		out = append(out, net.JoinHostPort(n, strconv.Itoa(port)))
	}
	return out
}

func (h *house) addresses(scheme string, port int) []string {
	var out []string
	for _, n := range h.names() {
		out = append(out, scheme+"://"+net.JoinHostPort(n, strconv.Itoa(port)))
	}
	return out
}

// listenAt is loopback alone unless phones are let in.
func (h *house) listenAt(share bool, port int) []string {
	p := strconv.Itoa(port)
	if share {
		return []string{":" + p}
	}
	return []string{"127.0.0.1:" + p, "[::1]:" + p}
}
