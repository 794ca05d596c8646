package web_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"fairplot/internal/garden"
	"fairplot/internal/web"
)

// clock is a time that tests turn forward by hand.
type clock struct{ t time.Time }

func (c *clock) now() time.Time { return c.t }

// counting is a source of bytes that is not random but never the same twice.
type counting struct{ n byte }

func (c *counting) Read(p []byte) (int, error) {
	for i := range p {
		c.n++
		p[i] = c.n
	}
	return len(p), nil
}

func newPhones(c *clock) *web.Phones {
	return web.NewPhones(nil, c.now, &counting{}, func([]web.Phone) error { return nil })
}

func guarded(p *web.Phones) http.Handler {
	g := &web.Guard{Hosts: func() []string { return []string{"garden.lan:8080", "127.0.0.1:8080"} }, Phones: p}
	return g.Wrap(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, err := new(strings.Builder), r.ParseForm(); err != nil {
			http.Error(w, "too large", http.StatusRequestEntityTooLarge)
		}
	}))
}

func TestHostileRequests(t *testing.T) {
	const lan, here = "192.168.1.20:5000", "127.0.0.1:5000"
	for _, c := range []struct {
		name, method, path, host, from string
		header                         map[string]string
		body                           string
		want                           int
	}{
		{"this computer", "GET", "/", "127.0.0.1:8080", here, nil, "", 200},
		{"rebound name", "GET", "/", "evil.example:8080", here, nil, "", 421},
		{"right name without its port", "GET", "/", "garden.lan", here, nil, "", 421},
		{"rebound post that looks same-origin", "POST", "/", "evil.example", here, map[string]string{"Sec-Fetch-Site": "same-origin"}, "", 421},
		{"cross-site post", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Sec-Fetch-Site": "cross-site"}, "", 403},
		{"same-site post", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Sec-Fetch-Site": "same-site"}, "", 403},
		{"post from another origin", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Origin": "http://evil.example"}, "", 403},
		{"post from a null origin", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Origin": "null"}, "", 403},
		{"this computer by its name for phones", "GET", "/diary", "garden.lan:8080", here, nil, "", 303},
		{"unjoined phone that says it is this computer", "POST", "/api/entries", "127.0.0.1:8080", lan, nil, "", 401},
		{"own post", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Origin": "http://127.0.0.1:8080"}, "", 200},
		{"unjoined phone, page", "GET", "/diary", "garden.lan:8080", lan, nil, "", 303},
		{"unjoined phone, entries", "POST", "/api/entries", "garden.lan:8080", lan, nil, "", 401},
		{"unjoined phone, joining page", "GET", "/join", "garden.lan:8080", lan, nil, "", 200},
		{"made-up forwarding header", "POST", "/api/entries", "garden.lan:8080", lan, map[string]string{"X-Forwarded-For": "127.0.0.1"}, "", 401},
		{"made-up cookie", "POST", "/api/entries", "garden.lan:8080", lan, map[string]string{"Cookie": "phone=abc"}, "", 401},
		{"body over the limit", "POST", "/", "127.0.0.1:8080", here, map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, strings.Repeat("a", 300_000), 413},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := httptest.NewRequest(c.method, c.path, strings.NewReader(c.body))
			r.Host, r.RemoteAddr = c.host, c.from
			for k, v := range c.header {
				r.Header.Set(k, v)
			}
			w := httptest.NewRecorder()
			guarded(newPhones(&clock{t: time.Unix(0, 0)})).ServeHTTP(w, r)
			if w.Code != c.want {
				t.Errorf("status %d, want %d: %s", w.Code, c.want, w.Body)
			}
			if p := w.Header().Get("Referrer-Policy"); p != "same-origin" {
				t.Errorf("referrer policy %q: with no-referrer every form on plain http is refused", p)
			}
			if p := w.Header().Get("Content-Security-Policy"); strings.Contains(p, "unsafe") || !strings.Contains(p, "default-src 'none'") {
				t.Errorf("content policy %q", p)
			}
		})
	}
}

func TestADoorWithoutPhonesIsForThisComputer(t *testing.T) {
	r := httptest.NewRequest("GET", "/", nil)
	r.Host, r.RemoteAddr = "garden.lan:8080", "192.168.1.20:5000"
	w := httptest.NewRecorder()
	guarded(nil).ServeHTTP(w, r)
	if w.Code != http.StatusForbidden {
		t.Errorf("status %d, want 403", w.Code)
	}
}

func TestJoining(t *testing.T) {
	c := &clock{t: time.Unix(1e9, 0)}
	p := newPhones(c)
	phone := garden.DeviceID{1}
	code, err := p.Code()
	if err != nil || len(code) != 8 {
		t.Fatalf("code %q, %v", code, err)
	}
	token, err := p.Join(code, phone)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Join(code, phone); err == nil {
		t.Error("a code was taken twice")
	}
	r := httptest.NewRequest("GET", "/", nil)
	r.AddCookie(&http.Cookie{Name: "phone", Value: token})
	if got, ok := p.Of(r, false); !ok || got != phone {
		t.Error("the joined phone is not known")
	}
	if _, ok := p.Of(r, true); ok {
		t.Error("a cookie of the plain door was taken on the other")
	}
	if err := p.CutOff(phone); err != nil {
		t.Fatal(err)
	}
	if _, ok := p.Of(r, false); ok {
		t.Error("a phone that was cut off is still let in")
	}
}

func TestACodeDiesOfAgeAndOfWrongTries(t *testing.T) {
	c := &clock{t: time.Unix(1e9, 0)}
	p := newPhones(c)
	code, _ := p.Code()
	c.t = c.t.Add(6 * time.Minute)
	if _, err := p.Join(code, garden.DeviceID{1}); err == nil {
		t.Error("a code of six minutes ago was taken")
	}
	c.t = c.t.Add(time.Hour)
	code, _ = p.Code()
	for range 5 {
		_, _ = p.Join("00000000", garden.DeviceID{1})
	}
	if _, err := p.Join(code, garden.DeviceID{1}); err == nil {
		t.Error("a code was taken after five wrong ones")
	}
	for range 5 {
		_, _ = p.Join("00000000", garden.DeviceID{1})
	}
	code, _ = p.Code()
	if _, err := p.Join(code, garden.DeviceID{1}); err == nil {
		t.Error("a right code was taken within a minute of ten wrong ones")
	}
	c.t = c.t.Add(61 * time.Second)
	if _, err := p.Join(code, garden.DeviceID{1}); err != nil {
		t.Errorf("a minute later: %v", err)
	}
}

// A phone that joins and keeps no cookie is told why it is asked again.
func TestAPhoneWithoutCookiesIsTold(t *testing.T) {
	r := httptest.NewRequest("GET", "/note/harvest?joined", nil)
	r.Host, r.RemoteAddr = "garden.lan:8080", "192.168.1.20:5000"
	w := httptest.NewRecorder()
	guarded(newPhones(&clock{t: time.Unix(0, 0)})).ServeHTTP(w, r)
	to := w.Header().Get("Location")
	if to != "/join?forgotten" {
		t.Fatalf("it is sent to %q", to)
	}
	if body := newSite(t, garden.Records{}).get(to).Body.String(); !strings.Contains(body, "refuses cookies") {
		t.Error("the page does not say why")
	}
}

// A browser that refuses cookies is told before its code is spent.
func TestACodeIsNotSpentWithoutCookies(t *testing.T) {
	s, phones := newSite(t, garden.Records{}), newPhones(&clock{t: noon})
	w, err := web.New(web.Config{Book: onDisk{s.book}, Name: "garden", Now: func() time.Time { return noon }, NewID: newID, Build: "test", Phones: phones})
	must(t, err)
	code, err := phones.Code()
	must(t, err)
	ask := func(r *http.Request) *httptest.ResponseRecorder {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		out := httptest.NewRecorder()
		w.Handler().ServeHTTP(out, r)
		return out
	}
	form := "name=Wren&code=" + code
	without := ask(httptest.NewRequest("POST", "/join", strings.NewReader(form)))
	if without.Code != http.StatusForbidden || !strings.Contains(without.Body.String(), "not used up") || !strings.Contains(without.Body.String(), code) {
		t.Errorf("without cookies: status %d, want 403 with the code still in its field: %s", without.Code, without.Body)
	}
	r := httptest.NewRequest("POST", "/join", strings.NewReader(form))
	for _, c := range ask(httptest.NewRequest("GET", "/join", nil)).Result().Cookies() {
		r.AddCookie(c)
	}
	if with := ask(r); with.Code != http.StatusSeeOther {
		t.Errorf("with cookies: status %d, want 303: %s", with.Code, with.Body)
	}
}
