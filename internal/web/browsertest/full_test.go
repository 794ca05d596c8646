package browsertest

import (
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fairplot/internal/book"
	"fairplot/internal/garden"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
)

// room sets what the browser lets an origin store, in bytes; a write beyond it fails as on a full phone, with QuotaExceededError. It must be set before
// the origin's pages are opened, since Chromium remembers for a while how much room there was.
func (b *tab) room(origin string, bytes float64) {
	b.t.Helper()
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{Origin: origin, QuotaSize: &bytes})
		return chromedp.Void{}, err
	})
}

// fullPhone joins a phone whose browser may store so many bytes.
func fullPhone(t *testing.T, p *program, bytes float64) *tab {
	t.Helper()
	b, _ := ownBrowser(t, t.TempDir())
	b.open("about:blank")
	b.room(p.at("garden.lan", ""), bytes)
	b.phone(360)
	b.joinAt(p, p.at("garden.lan", "/join"))
	return b
}

// save types a weight in kg and presses the button.
func (b *tab) save(kg string) {
	b.t.Helper()
	b.do(chromedp.SetValue(chromedp.ID("number"), kg), chromedp.Click(chromedp.CSS(".save")))
}

func (b *tab) says(where string, words ...string) {
	b.t.Helper()
	said := b.text(`document.querySelector("` + where + `").innerText || document.querySelector("` + where + `").textContent`)
	for _, w := range words {
		if !strings.Contains(said, w) {
			b.t.Errorf("%s says %q, want %q in it", where, said, w)
		}
	}
}

const (
	cleared = `document.getElementById("number").value === "" && document.documentElement.dataset.failed === "no"`
	failed  = `document.documentElement.dataset.failed === "yes"`
)

// TestAFullPhoneSendsStraight: where nothing fits any more, what is noted goes straight to the home computer, and what cannot go either stays in the form.
func TestAFullPhoneSendsStraight(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := fullPhone(t, p, 1000)
	b.save("0.5")
	b.wait(cleared)
	b.says("#state", "Sent straight to the home computer", "this phone is full")
	b.says("#last", "0.5 kg")
	b.says("#kept", "arrived")
	wantGrams(t, path, 500)
	b.save("0.5") // another picking that weighs the same
	b.wait(cleared)
	wantGrams(t, path, 500, 500)
	b.do(chromedp.Click(chromedp.CSS("#last button")))
	b.wait(`document.getElementById("kept").innerText.includes("Taken back")`)
	wantGrams(t, path, 500)

	p.kill()
	b.save("0.7")
	b.wait(failed)
	b.says("#state", "NOT saved: this phone is full, and the home computer is not reached", "make room", "paper")
	b.says(".unkept", "NOT saved")
	if v := b.text("document.getElementById('number').value"); v != "0.7" {
		t.Errorf("the field holds %q, want 0.7", v)
	}
	for _, claim := range []string{"All sent", "kept on this phone", "0.7"} {
		if words := b.text(`document.getElementById("state").innerText + document.getElementById("kept").innerText`); strings.Contains(words, claim) {
			t.Errorf("the page claims %q: %s", claim, words)
		}
	}
	b.shot("full-phone-out-of-reach")
	p.start()
	b.do(chromedp.Click(chromedp.CSS(".save")), chromedp.Click(chromedp.CSS(".save")))
	b.wait(cleared)
	wantGrams(t, path, 500, 700)

	// The answer is lost on its way: saved again it is the same entry.
	eval[bool](b, `(() => { const real = fetch; window.fetch = async (...a) => { const answer = await real(...a); if (a[0] === "/api/entries") { window.fetch = real; throw new TypeError("lost"); } return answer; }; return true; })()`)
	b.save("0.9")
	b.wait(failed)
	wantGrams(t, path, 500, 700, 900)
	b.do(chromedp.Click(chromedp.CSS(".save")))
	b.wait(cleared)
	wantGrams(t, path, 500, 700, 900)
	if faults := b.faults(); len(faults) > 0 {
		t.Errorf("the page threw %v", faults)
	}
}

// TestSeveralCropsOnAFullPhone: what one form says of several crops is kept together or not at all, so that saving it again repeats none of them.
func TestSeveralCropsOnAFullPhone(t *testing.T) {
	t.Parallel()
	r := smallGarden(1)
	r.Put(garden.Planting{ID: garden.PlantingID(newID()), Bed: r.Beds[0].ID, Crop: "leek"})
	path := bookOf(t, r)
	p := serve(t, path, "--share")
	b := fullPhone(t, p, 1000)
	p.kill()
	eval[bool](b, `[...document.querySelectorAll("#walk .tiles input")].find(i => i.value === "nothing").click(), true`)
	b.do(chromedp.Click(chromedp.CSS(".save")))
	b.wait(failed)
	p.start()
	b.do(chromedp.Click(chromedp.CSS(".save")))
	b.wait(`document.documentElement.dataset.failed === "no"`)
	wantGrams(t, path, 0, 0)
}

// TestAPictureThatFindsNoRoom: the note does not wait for it. It is sent from the page, and the page says that it is not kept.
func TestAPictureThatFindsNoRoom(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(1))
	p := serve(t, path, "--share")
	file := filepath.Join(t.TempDir(), "slugs.jpg")
	writeNoise(t, file)
	note := func(b *tab, text string) {
		b.do(chromedp.SetValue(chromedp.ID("text"), text), chromedp.SetUploadFiles(chromedp.ID("picture"), []string{file}), chromedp.Click(chromedp.CSS(".save")))
		b.wait(`document.getElementById("text").value === ""`)
	}
	for _, forNotes := range []bool{true, false} { // whether there is room for the note at least
		b := fullPhone(t, p, map[bool]float64{true: 200_000, false: 1000}[forNotes])
		b.open(p.at("garden.lan", "/note/note"))
		b.ready()
		note(b, "in reach")
		b.wait(`performance.getEntriesByType("resource").some(r => r.name.includes("/api/pictures/"))`)
		b.wait(`document.documentElement.dataset.pictures === "0" && document.documentElement.dataset.unsent === "0"`)
		if !forNotes {
			continue
		}
		p.kill()
		note(b, "out of reach")
		b.wait(`document.getElementById("state").innerText.includes("no room")`)
		b.says("#state", "1 kept on this phone, not sent", "keep this page open")
		if v := b.text(`document.getElementById("picture").value`); v != "" {
			t.Errorf("the next note would carry the picture %q too", v)
		}
		b.shot("picture-without-room")
		p.start()
		b.online()
		b.wait(`document.documentElement.dataset.pictures === "0" && document.documentElement.dataset.unsent === "0"`)
	}
	wantNotes(t, path, "in reach", "in reach", "out of reach")
}

// wantNotes wants notes with these texts in the book, each with one picture.
func wantNotes(t testing.TB, path string, want ...string) {
	t.Helper()
	opened, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	r, err := opened.Read(t.Context(), garden.Want{Kinds: []garden.Kind{garden.KindNote, garden.KindPicture}})
	must(t, err)
	must(t, opened.Close())
	left := map[string]int{}
	for _, text := range want {
		left[text]++
	}
	for _, n := range r.Notes {
		left[n.Text]--
		if len(n.Pictures) != 1 {
			t.Errorf("the note %q has %d pictures, want 1", n.Text, len(n.Pictures))
		}
	}
	for text, n := range left {
		if n != 0 {
			t.Errorf("the note %q is there %d times too few", text, n)
		}
	}
	if len(r.Pictures) != len(want) {
		t.Errorf("the book has %d pictures, want %d", len(r.Pictures), len(want))
	}
}

// writeNoise writes a picture that no packing makes small.
func writeNoise(t testing.TB, file string) {
	t.Helper()
	img, random := image.NewRGBA(image.Rect(0, 0, 1000, 1000)), rand.New(rand.NewPCG(1, 2))
	for x := range 1000 {
		for y := range 1000 {
			img.Set(x, y, color.RGBA{uint8(random.Uint32()), uint8(random.Uint32()), uint8(random.Uint32()), 255})
		}
	}
	f, err := os.Create(file)
	must(t, err)
	must(t, jpeg.Encode(f, img, nil))
	must(t, f.Close())
}

// TestAPhoneThatFillsUpAfterwards: what was kept while there was room is sent, and is known as sent although there is no room to write even that.
func TestAPhoneThatFillsUpAfterwards(t *testing.T) {
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
	b, _ = ownBrowser(t, profile)
	b.open("about:blank")
	b.room(p.at("garden.lan", ""), 1)
	for range 2 {
		b.open(p.at("garden.lan", "/note/harvest"))
		b.ready()
		b.sent()
		b.wait(`document.documentElement.dataset.trouble === ""`)
		wantGrams(t, path, 100, 200)
	}
	if n := b.text(`document.getElementById("kept").innerText`); strings.Contains(n, "not sent") {
		t.Errorf("the list says %q", n)
	}
}

// TestAFullPhoneGetsTodaysPage: over https the worker shelves each page; where its shelf is full, the page of today is shown all the same.
func TestAFullPhoneGetsTodaysPage(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share", "--safe")
	b, _ := ownBrowser(t, t.TempDir(), trusting(t, path+".home.crt"))
	b.joinAt(p, p.safely("garden.lan", "/join"))
	b.wait(`navigator.serviceWorker.controller !== null`)
	run(t, "bed", "add", "--book", path, "--garden", "kitchen", "--name", "youngest")
	b.room(p.safely("garden.lan", ""), 1)
	b.open(p.safely("garden.lan", "/note/harvest"))
	b.ready()
	b.says("#facts", "youngest")
	full := eval[string](b, `caches.open("trial").then(box => box.put("/x", new Response("x".repeat(1000)))).then(() => "stored", e => e.name)`)
	if full != "QuotaExceededError" {
		t.Errorf("the shelf took more (%s): the test proves nothing", full)
	}
}

// before runs a script in every page that the tab opens from now on, before the page's own.
func (b *tab) before(script string) {
	b.t.Helper()
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return chromedp.Void{}, err
	})
}

// TestABrowserThatKeepsNothing has no store from the start, as in a private window of some browsers.
func TestABrowserThatKeepsNothing(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := newTab(t)
	b.phone(360)
	b.before(`Object.defineProperty(window, "indexedDB", {get() { throw new DOMException("refused", "SecurityError"); }})`)
	b.joinAt(p, p.at("garden.lan", "/join"))
	b.says("#state", "This browser keeps nothing here")
	b.weigh(500)
	wantGrams(t, path, 500)
	p.kill()
	b.save("0.7")
	b.wait(failed)
	b.says("#state", "NOT saved: this browser keeps nothing here", "and the home computer is not reached")
	p.start()
	b.do(chromedp.Click(chromedp.CSS(".save")))
	b.wait(cleared)
	wantGrams(t, path, 500, 700)
	b.open(p.at("garden.lan", "/note/work"))
	b.ready()
	b.do(chromedp.Click(chromedp.ID("work-clock")))
	b.wait(`document.getElementById("work-clock").dataset.running === "yes"`)
	b.says("#state", "NOT kept: when you began")
	b.do(chromedp.Click(chromedp.ID("work-clock")))
	b.wait(`document.getElementById("work-clock").dataset.running === "no" && document.getElementById("time").value === "1"`)
	if faults := b.faults(); len(faults) > 0 {
		t.Errorf("the page threw %v", faults)
	}
}
