package browsertest

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// TestWithNoSignalOverHTTPS: the worker keeps the page through a reload and through the browser's end while the program is down.
func TestWithNoSignalOverHTTPS(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(3))
	p := serve(t, path, "--share", "--safe")
	profile := t.TempDir()
	b, end := ownBrowser(t, profile, trusting(t, path+".home.crt"))
	b.joinAt(p, p.safely("garden.lan", "/join"))
	if !eval[bool](b, "isSecureContext") {
		t.Fatal("the https door is no secure context")
	}
	eval[bool](b, `navigator.serviceWorker.ready.then(() => true)`)
	b.wait(`navigator.serviceWorker.controller !== null`)
	p.kill()
	b.do(chromedp.Reload())
	b.ready()
	b.weigh(100)
	for _, page := range []string{"/note/round", "/note/compost", "/kept"} {
		b.open(p.safely("garden.lan", page))
		b.ready()
	}
	end()
	b, _ = ownBrowser(t, profile, trusting(t, path+".home.crt"))
	b.open(p.safely("garden.lan", "/note/harvest"))
	b.ready()
	b.weigh(200)
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 100, 200)
	info, err := os.Stat(path + ".home.key")
	must(t, err)
	if info.Mode().Perm() != 0o600 {
		t.Errorf("the key of this home has the rights %v", info.Mode())
	}
}

// TestAPhoneCutOffKeepsWhatItHolds cuts a phone off while it holds an entry, and joins it again.
func TestAPhoneCutOffKeepsWhatItHolds(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	id := eval[string](b, `fetch("/phones").then(r => r.status).then(String)`)
	if id != "409" {
		t.Errorf("a phone sees the list of phones: %s", id)
	}
	opened, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	r, err := opened.Read(t.Context(), garden.Want{Kinds: []garden.Kind{garden.KindDevice}})
	must(t, err)
	must(t, opened.Close())
	if len(r.Devices) != 1 || r.Devices[0].Name != "Wren's phone" {
		t.Fatalf("the book has the devices %+v", r.Devices)
	}
	resp, err := http.PostForm(p.at("localhost", "/phones/"+r.Devices[0].ID.String()+"/cut-off"), nil)
	must(t, err)
	must(t, resp.Body.Close())
	b.weigh(300)
	b.wait(`document.documentElement.dataset.trouble === "join"`)
	if n := b.text("document.documentElement.dataset.unsent"); n != "1" {
		t.Errorf("%s unsent, want 1", n)
	}
	b.joinAt(p, p.at("garden.lan", "/join"))
	b.sent()
	wantGrams(t, path, 300)
}

// TestWithoutTheScript: the same forms post straight to the program, and the same form twice is one entry.
func TestWithoutTheScript(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path)
	b := newTab(t)
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return chromedp.Void{}, err
	})
	b.open(p.at("localhost", "/note/harvest"))
	b.do(chromedp.SetValue(chromedp.ID("number"), "1,25"), chromedp.SetValue(chromedp.ID("other-crop"), "parsnip"))
	resp, err := chromedp.RunResponse(b.ctx, chromedp.Click(chromedp.CSS(".save")))
	must(t, err)
	if resp.Status != 200 || !strings.Contains(resp.URL, "saved") {
		t.Errorf("saving led to %d %s", resp.Status, resp.URL)
	}
	wantGrams(t, path, 1250)
	form := "id=0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f50&bed=don%27t+know&crop.other=leek&mass=2&unit.mass=kg"
	for range 2 {
		resp, err := http.Post(p.at("localhost", "/note/harvest"), "application/x-www-form-urlencoded", strings.NewReader(form))
		must(t, err)
		must(t, resp.Body.Close())
	}
	wantGrams(t, path, 1250, 2000)
}

// TestAWeighingRound weighs with the crate, looks and finds nothing, and sums up without the program.
func TestAWeighingRound(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(3))
	p := serve(t, path, "--share")
	b := join(t, p)
	b.open(p.at("garden.lan", "/note/round"))
	b.ready()
	b.do(chromedp.SetValue(chromedp.ID("tare"), "0,4"))
	p.kill()
	b.weigh(4120, 2400)
	b.do(chromedp.Click(chromedp.ID("on")))
	eval[bool](b, `[...document.querySelectorAll("#walk .tiles input")].find(i => i.value === "nothing").click(), document.getElementById("walk").requestSubmit(), true`)
	b.wait(`document.getElementById("sums").innerText.includes("looked, nothing")`)
	if sums := b.text("document.getElementById('sums').innerText"); !strings.Contains(sums, "5.720") {
		t.Errorf("the sums say %q, want 3.720 + 2.000 = 5.720", sums)
	}
	if open := b.text("document.getElementById('open-beds').innerText"); !strings.Contains(open, "kitchen/3") || strings.Contains(open, "kitchen/2") {
		t.Errorf("not visited: %q", open)
	}
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 0, 2000, 3720)
	for _, h := range harvests(t, path) {
		if h.Round == "" || !h.Nothing && (!h.Gross.Known || h.Tare.Value != 0.4) {
			t.Errorf("the round kept %+v", h)
		}
	}
}

// TestANoteWithAPicture: the note goes first, the picture after it, smaller and drawn anew.
func TestANoteWithAPicture(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(1))
	p := serve(t, path, "--share")
	b := join(t, p)
	b.open(p.at("garden.lan", "/note/note"))
	b.ready()
	file := filepath.Join(t.TempDir(), "slugs.jpg")
	writePicture(t, file, 2400, 1200)
	b.do(chromedp.SetValue(chromedp.ID("text"), "first slugs <b>\u202e"), chromedp.SetUploadFiles(chromedp.ID("picture"), []string{file}), chromedp.Click(chromedp.CSS(".save")))
	b.wait(`document.getElementById("picture").value === "" && document.documentElement.dataset.unsent === "0" && document.documentElement.dataset.pictures === "0"`)
	b.wait(`new Promise(ok => { const rq = indexedDB.open("fairplot"); rq.onsuccess = () => { const n = rq.result.transaction("pictures").objectStore("pictures").count(); n.onsuccess = () => { rq.result.close(); ok(n.result === 0); }; }; })`)
	opened, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	r, err := opened.Read(t.Context(), garden.Want{Kinds: []garden.Kind{garden.KindNote, garden.KindPicture}})
	must(t, err)
	must(t, opened.Close())
	if len(r.Notes) != 1 || len(r.Notes[0].Pictures) != 1 || len(r.Pictures) != 1 {
		t.Fatalf("the book has %+v and %+v", r.Notes, r.Pictures)
	}
	if pic := r.Pictures[0]; pic.Width != 1600 || pic.Height != 800 {
		t.Errorf("the picture is %d by %d, want 1600 by 800", pic.Width, pic.Height)
	}
}

func writePicture(t testing.TB, file string, w, h int) {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for x := range w {
		img.Set(x, x%h, color.RGBA{uint8(x), 80, 20, 255})
	}
	f, err := os.Create(file)
	must(t, err)
	must(t, jpeg.Encode(f, img, nil))
	must(t, f.Close())
}

// TestAPortThatIsTakenIsSaid starts the program twice.
func TestAPortThatIsTakenIsSaid(t *testing.T) {
	t.Parallel()
	p := serve(t, emptyBook(t))
	out := runFailing(t, "serve", "--book", emptyBook(t), "--port", fmt.Sprint(p.port))
	if !strings.Contains(out, "is taken by another program") {
		t.Errorf("the program says %q", out)
	}
}

// TestAStopLeavesOneFile ends the program as Ctrl-C does: what is under way finishes, and the book is one file again.
func TestAStopLeavesOneFile(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(1))
	p := serve(t, path)
	b := newTab(t)
	b.open(p.at("localhost", "/note/harvest"))
	b.ready()
	b.weigh(500)
	b.sent()
	must(t, p.cmd.Process.Signal(os.Interrupt))
	if err := p.cmd.Wait(); err != nil {
		t.Errorf("the program ended with %v", err)
	}
	left, err := filepath.Glob(path + "*")
	must(t, err)
	if len(left) != 1 {
		t.Errorf("there are left %v", left)
	}
	wantGrams(t, path, 500)
}

// TestTheDoorIsShutUnlessOpened asks for the pages at the addresses that other computers would use.
func TestTheDoorIsShutUnlessOpened(t *testing.T) {
	t.Parallel()
	shut, open := serve(t, emptyBook(t)), serve(t, emptyBook(t), "--share")
	addresses, err := net.InterfaceAddrs()
	must(t, err)
	tried := 0
	for _, a := range addresses {
		n, ok := a.(*net.IPNet)
		if !ok || n.IP.IsLoopback() || n.IP.IsLinkLocalUnicast() {
			continue
		}
		tried++
		if c, err := net.Dial("tcp", net.JoinHostPort(n.IP.String(), fmt.Sprint(shut.port))); err == nil {
			t.Errorf("the door is open at %v without --share", n.IP)
			must(t, c.Close())
		}
		client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
		resp, err := client.Get("http://" + net.JoinHostPort(n.IP.String(), fmt.Sprint(open.port)) + "/diary")
		must(t, err)
		must(t, resp.Body.Close())
		if want := map[bool]int{true: http.StatusSeeOther, false: http.StatusMisdirectedRequest}[n.IP.IsPrivate()]; resp.StatusCode != want {
			t.Errorf("%v answers %d, want %d", n.IP, resp.StatusCode, want)
		}
	}
	if tried == 0 {
		t.Log("this computer has no address but loopback: only the name was tried")
	}
}
