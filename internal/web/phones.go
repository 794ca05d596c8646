package web

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io"
	"math/big"
	"net/http"
	"slices"
	"sync"
	"time"

	"fairplot/internal/garden"
)

// Times of the joining code (the study of attacks behind them stands in docs/phone.md): eight digits, five minutes, one use, dead after five wrong
// tries; ten wrong tries in a minute stop all joining for a minute.
const (
	codeLife  = 5 * time.Minute
	codeTries = 5
	allTries  = 10
	allWithin = time.Minute
	tokenLife = 400 * 24 * time.Hour
)

// Phone is one joined phone. Only the SHA-256 of its token is kept.
type Phone struct {
	Device garden.DeviceID `json:"device"`
	Token  string          `json:"token"` // SHA-256, hexadecimal
}

// Phones knows which phones were joined and hands out codes for joining.
type Phones struct {
	now    func() time.Time
	random io.Reader
	save   func([]Phone) error

	mu     sync.Mutex
	joined []Phone
	code   string
	until  time.Time
	wrong  int
	missed []time.Time // wrong tries of the last minute, whatever the code
}

// NewPhones returns the phones joined so far; save keeps the list whenever it changes.
func NewPhones(joined []Phone, now func() time.Time, random io.Reader, save func([]Phone) error) *Phones {
	return &Phones{now: now, random: random, save: save, joined: joined}
}

// Code makes a new joining code; an earlier one is dead from now on.
func (p *Phones) Code() (string, error) {
	n, err := number8(p.random)
	if err != nil {
		return "", err
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.code, p.until, p.wrong = n, p.now().Add(codeLife), 0
	return n, nil
}

// number8 draws eight digits without bias.
func number8(random io.Reader) (string, error) {
	most := big.NewInt(100_000_000)
	for {
		var b [4]byte
		if _, err := io.ReadFull(random, b[:]); err != nil {
			return "", err
		}
		n := new(big.Int).SetBytes(b[:])
		if n.Int64() < 42*100_000_000 { // 2^32 is 42.9 times 10^8: the rest would favour small numbers
			return fmt.Sprintf("%08d", n.Mod(n, most).Int64()), nil
		}
	}
}

// Joining errors, told apart by the status they get.
var (
	errWrongCode = &garden.Error{Kind: garden.Refused, Field: "code", Text: "this code is not, or no longer, right", Hint: "make a new one on the home computer"}
	errTooMany   = &garden.Error{Kind: garden.Busy, Field: "code", Text: "too many wrong codes", Hint: "wait a minute and make a new one on the home computer"}
)

// Join trades a code for a token that the phone keeps as a cookie.
func (p *Phones) Join(code string, device garden.DeviceID) (token string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	now := p.now()
	p.forget(now)
	if len(p.missed) >= allTries {
		return "", errTooMany
	}
	good := p.code != "" && now.Before(p.until) && subtle.ConstantTimeCompare([]byte(code), []byte(p.code)) == 1
	if !good {
		p.missed = append(p.missed, now)
		if p.wrong++; p.wrong >= codeTries {
			p.code = ""
		}
		return "", errWrongCode
	}
	p.code = ""
	var b [32]byte
	if _, err := io.ReadFull(p.random, b[:]); err != nil {
		return "", err
	}
	token = base64.RawURLEncoding.EncodeToString(b[:])
	joined := append(p.joined[:len(p.joined):len(p.joined)], Phone{Device: device, Token: digest(token)})
	if err := p.save(joined); err != nil {
		return "", err
	}
	p.joined = joined
	return token, nil
}

// forget drops wrong tries older than the window.
func (p *Phones) forget(now time.Time) {
	kept := p.missed[:0]
	for _, t := range p.missed {
		if now.Sub(t) < allWithin {
			kept = append(kept, t)
		}
	}
	p.missed = kept
}

// CutOff takes a phone's entry away. What it still holds stays on it, and it can be joined again.
func (p *Phones) CutOff(device garden.DeviceID) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	var kept []Phone
	for _, ph := range p.joined {
		if ph.Device != device {
			kept = append(kept, ph)
		}
	}
	if err := p.save(kept); err != nil {
		return err
	}
	p.joined = kept
	return nil
}

// Of returns the device a request comes from, if its cookie is that of a joined phone.
func (p *Phones) Of(r *http.Request, secure bool) (garden.DeviceID, bool) {
	c, err := r.Cookie(cookieName(secure))
	if err != nil {
		return garden.DeviceID{}, false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	d := digest(c.Value)
	for _, ph := range p.joined {
		if subtle.ConstantTimeCompare([]byte(ph.Token), []byte(d)) == 1 {
			return ph.Device, true
		}
	}
	return garden.DeviceID{}, false
}

// has reports whether the device is joined now.
func (p *Phones) has(device garden.DeviceID) bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return slices.ContainsFunc(p.joined, func(ph Phone) bool { return ph.Device == device })
}

func (p *Phones) knows(r *http.Request, secure bool) bool {
	_, ok := p.Of(r, secure)
	return ok
}

// renew lets the cookie of a phone that comes by live on.
func (p *Phones) renew(w http.ResponseWriter, r *http.Request, secure bool) {
	if c, err := r.Cookie(cookieName(secure)); err == nil && r.Method == http.MethodGet && r.URL.Path == "/note/harvest" {
		http.SetCookie(w, cookie(c.Value, secure))
	}
}

func digest(token string) string {
	sum := sha256.Sum256([]byte(token))
	return hex.EncodeToString(sum[:])
}

// cookieName differs by door, since cookies ignore ports and a browser must not send the one to the other.
func cookieName(secure bool) string {
	if secure {
		return "__Host-phone"
	}
	return "phone"
}

// cookie is what a phone keeps. Lax, not Strict: opened from the home screen or another app it must still be sent.
func cookie(token string, secure bool) *http.Cookie {
	return &http.Cookie{Name: cookieName(secure), Value: token, Path: "/", Secure: secure, HttpOnly: true, SameSite: http.SameSiteLaxMode, MaxAge: int(tokenLife / time.Second)}
}
