package browsertest

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// cookies writes into a browser's profile whether it takes cookies; refusing them Chromium also gives pages no store.
func cookies(t testing.TB, profile string, allowed bool) {
	t.Helper()
	file := filepath.Join(profile, "Default", "Preferences")
	must(t, os.MkdirAll(filepath.Dir(file), 0o755))
	must(t, os.WriteFile(file, []byte(`{"profile": {"default_content_setting_values": {"cookies": `+map[bool]string{true: "1", false: "2"}[allowed]+`}}}`), 0o600))
}

// refusing starts a browser that refuses cookies, and makes sure that it does.
func refusing(t testing.TB, p *program, profile string) (*tab, func()) {
	t.Helper()
	cookies(t, profile, false)
	b, end := ownBrowser(t, profile)
	b.phone(360)
	b.open(p.at("garden.lan", "/join"))
	if eval[string](b, `(document.cookie = "taken=yes", document.cookie)`) != "" {
		t.Fatal("this browser takes cookies although its profile says no: the test would prove nothing")
	}
	return b, end
}

const refuses = `document.getElementById("refuses").offsetHeight > 0`

// TestJoiningWithoutCookies: one sentence says why it does not work and how to mend it; the code is not spent, and no dead phone is left in the book.
func TestJoiningWithoutCookies(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b, _ := refusing(t, p, t.TempDir())
	b.open(p.at("garden.lan", "/note/harvest"))
	b.wait(`location.pathname === "/join"`)
	b.wait(refuses)
	b.says("#refuses", "refuses cookies", "joining needs one", "allow cookies for this address", "not used up")
	good := code(t, p)
	b.do(chromedp.SetValue(chromedp.ID("code"), good), chromedp.SetValue(chromedp.ID("name"), "Wren's phone"))
	resp, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(".save")))
	must(t, err)
	if resp.Status != 403 || !strings.HasSuffix(resp.URL, "/join") {
		t.Errorf("joining led to %d %s", resp.Status, resp.URL)
	}
	b.wait(refuses)
	b.shot("cookies-refused")
	for field, want := range map[string]string{"code": good, "name": "Wren's phone"} {
		if v := b.text(`document.getElementById("` + field + `").value`); v != want {
			t.Errorf("%s holds %q, want %q", field, v, want)
		}
	}
	if n := len(devices(t, path)); n != 0 {
		t.Errorf("the book has %d phones, want none", n)
	}
	other := newTab(t)
	other.open(p.at("garden.lan", "/join"))
	other.do(chromedp.SetValue(chromedp.ID("code"), good), chromedp.Submit(chromedp.ID("code")))
	other.wait(`location.pathname === "/note/harvest" && document.documentElement.dataset.ready === "yes"`)
}

func devices(t testing.TB, path string) []garden.Device {
	t.Helper()
	opened, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	r, err := opened.Read(t.Context(), garden.Want{Kinds: []garden.Kind{garden.KindDevice}})
	must(t, err)
	must(t, opened.Close())
	return r.Devices
}

// TestAtTheTableWithoutCookies: the home computer itself needs none. Its browser then keeps nothing, so what is noted goes straight into the book.
func TestAtTheTableWithoutCookies(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path)
	b, _ := refusing(t, p, t.TempDir())
	b.open(p.at("localhost", "/note/harvest"))
	b.ready()
	b.says("#state", "This browser keeps nothing here", "cookies")
	b.weigh(500)
	wantGrams(t, path, 500)
	for _, address := range []string{"/", "/diary", "/ground", "/sheets", "/settings", "/kept"} {
		resp, err := chromedp.RunResponse(b.ctx, chromedp.Navigate(p.at("localhost", address)))
		must(t, err)
		if resp.Status != 200 || !strings.HasSuffix(resp.URL, address) {
			t.Errorf("%s led to %d %s", address, resp.Status, resp.URL)
		}
	}
	p.kill()
	b.open("about:blank")
	p.start()
	b.open(p.at("localhost", "/note/note"))
	b.ready()
	b.do(chromedp.SetValue(chromedp.ID("text"), "no cookies"), chromedp.Click(chromedp.CSS(".save")))
	b.wait(`document.getElementById("text").value === ""`)
	b.says("#state", "Sent straight")
}

// TestCookiesRefusedAfterJoining: what a joined phone holds outlives the time in which its browser refuses cookies.
func TestCookiesRefusedAfterJoining(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	profile := t.TempDir()
	b, end := ownBrowser(t, profile)
	b.joinAt(p, p.at("garden.lan", "/join"))
	p.kill()
	b.weigh(100, 200)
	end()
	p.start()
	b, end = refusing(t, p, profile)
	b.open(p.at("garden.lan", "/note/round"))
	b.wait(`location.pathname === "/join"`)
	b.wait(refuses)
	b.says("#refuses", "What this phone holds is not lost")
	end()
	cookies(t, profile, true)
	b, _ = ownBrowser(t, profile)
	b.open(p.at("garden.lan", "/note/harvest"))
	b.ready()
	b.sent()
	wantGrams(t, path, 100, 200)
}

// TestCookiesEmptied: a phone whose cookie is gone gets no page but the one for joining, and can save what it holds from there.
func TestCookiesEmptied(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	p.kill()
	b.weigh(100, 200)
	p.start()
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, network.DeleteCookies, network.DeleteCookiesParams{Name: "phone", URL: p.at("garden.lan", "/")})
		return chromedp.Void{}, err
	})
	b.online()
	b.wait(`document.documentElement.dataset.trouble === "join"`)
	b.open(p.at("garden.lan", "/kept"))
	b.wait(`location.pathname === "/join" && document.getElementById("held").offsetHeight > 0`)
	b.says("#held", "2 entries are noted at this address")
	b.shot("cookie-gone")
	eval[bool](b, `(() => { const real = URL.createObjectURL; URL.createObjectURL = blob => { blob.text().then(t => { window.file = t; }); return real(blob); }; return true; })()`)
	b.do(chromedp.Click(chromedp.ID("as-file")))
	b.wait(`window.file !== undefined`)
	file := filepath.Join(t.TempDir(), "kept.jsonl")
	must(t, os.WriteFile(file, []byte(eval[string](b, "window.file")), 0o600))
	if out := run(t, "import", "entries", file, "--book", path); !strings.Contains(out, "2 new") {
		t.Errorf("the import says %q", out)
	}
	b.joinAt(p, p.at("garden.lan", "/join"))
	b.sent()
	wantGrams(t, path, 100, 200)
}
