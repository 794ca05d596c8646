package browsertest

import (
	"context"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// onPhone tells the pages that have the phone's frame.
func onPhone(address string) bool {
	return strings.HasPrefix(address, "/note") || address == "/kept" || address == "/join"
}

// checkRules runs axe-core (4.14.1, in testdata for the tests alone) by the rules of WCAG 2.2 A and AA and its good practice.
const checkRules = `axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}).then(r =>
	r.violations.map(v => v.id + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120) + " " + (n.any[0]?.message || "")).join(" | ")))`

// sideways lists what sticks out of the page at its side; what scrolls by itself may.
const sideways = `[...document.querySelectorAll("body *")].filter(e => {
	const r = e.getBoundingClientRect();
	return r.width > 0 && r.right > innerWidth + 1 && !e.closest(".table, .sheets, .unseen, .skip") && getComputedStyle(e).position !== "absolute";
}).slice(0, 3).map(e => e.outerHTML.slice(0, 100))`

// small lists what is meant for a wet thumb and is less than 48 px high; links inside a sentence are let off, as WCAG 2.5.8 does.
const small = `[...document.querySelectorAll("button, select, textarea, summary, input:not([type=hidden]), a.do, .walk a")].filter(e => {
	const r = e.getBoundingClientRect();
	return r.width > 0 && getComputedStyle(e).visibility !== "hidden" && !e.closest(".grid") && (r.height < 48 || r.width < 44);
}).map(e => Math.round(e.getBoundingClientRect().height) + " px: " + e.outerHTML.slice(0, 90))`

// violations collects what the content policy blocked.
const violations = `;window.blocked = []; document.addEventListener("securitypolicyviolation", e => window.blocked.push(e.violatedDirective + " " + e.blockedURI + " " + e.sourceFile));`

// TestEveryPageInEveryState looks at every page of the invented book and of an empty one: as on a phone, narrower, with doubled text, in the
// dark, and at the desk.
func TestEveryPageInEveryState(t *testing.T) {
	t.Parallel()
	axe, err := os.ReadFile("testdata/axe.min.js")
	must(t, err)
	full, empty := serve(t, demoBook(t), "--share"), serve(t, emptyBook(t))
	sheet(t, full)
	b := newTab(t)
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: string(axe) + violations})
		return chromedp.Void{}, err
	})
	for _, address := range append([]string{"/sheets/0001", "/sheets/0001/type", "/diary?before=zz"}, everyPage...) {
		b.checkPage(full.at("localhost", address), address)
	}
	for _, address := range []string{"/", "/diary", "/ground", "/seasons", "/sheets", "/sort-out", "/note/harvest", "/note/sow"} {
		b.checkPage(empty.at("localhost", address), "empty "+address)
	}
}

func (b *tab) dark(on bool) {
	b.t.Helper()
	scheme := map[bool]string{true: "dark", false: "light"}[on]
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return chromedp.Void{}, err
	})
}

func (b *tab) checkPage(url, name string) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(360, 740))
	b.dark(false)
	b.open(url)
	address := strings.TrimPrefix(name, "empty ")
	phone := onPhone(address)
	if phone && address != "/join" {
		b.ready()
	}
	b.none(name+", blocked by the content policy", `window.blocked.filter(v => !v.includes("axe"))`)
	b.none(name, checkRules)
	b.none(name+", 360 px wide, sticks out", sideways)
	if phone {
		b.none(name+", too small for a thumb", small)
	}
	b.do(chromedp.EmulateViewport(320, 740))
	b.none(name+", 320 px wide, sticks out", sideways)
	eval[bool](b, `document.documentElement.style.fontSize = "225%", true`)
	b.none(name+", doubled text, sticks out", sideways)
	eval[bool](b, `document.documentElement.style.fontSize = "", true`)
	b.dark(true)
	b.none(name+", dark", strings.Replace(checkRules, `["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]`, `["color-contrast"]`, 1))
	if !phone {
		b.dark(false)
		b.do(chromedp.EmulateViewport(1200, 900))
		b.none(name+", desk", checkRules)
		b.none(name+", desk, sticks out", sideways)
	}
}

// none reports what a check of the page found.
func (b *tab) none(where, check string) {
	b.t.Helper()
	for _, found := range eval[[]string](b, check) {
		b.t.Errorf("%s: %s", where, found)
	}
}

// sheet makes a paper sheet.
func sheet(t testing.TB, p *program) {
	t.Helper()
	run(t, "planting", "add", "--book", p.book, "--bed", "terrace/1", "--crop", "leek", "--date", "2026-10-01")
	b := newTab(t)
	b.open(p.at("localhost", "/sheets"))
	b.do(chromedp.Submit(chromedp.ID("garden")))
	b.wait(`location.pathname === "/sheets/0001"`)
}

// TestForcedColours looks at the walk under a system's own colours: what is chosen must be told by more than a colour of ours.
func TestForcedColours(t *testing.T) {
	t.Parallel()
	p := serve(t, bookOf(t, smallGarden(2)))
	b := newTab(t)
	b.phone(360)
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "forced-colors", Value: "active"}}})
		return chromedp.Void{}, err
	})
	b.open(p.at("localhost", "/note/harvest"))
	b.ready()
	if w := b.text(`getComputedStyle(document.querySelector("#walk .tiles input:checked + label")).outlineWidth`); w == "0px" {
		t.Error("the chosen tile has no outline under forced colours")
	}
}

// TestTheWeightOfTheEntryPage keeps to the budget: 30 kB in all and six requests, no shift of the page while it loads.
func TestTheWeightOfTheEntryPage(t *testing.T) {
	t.Parallel()
	p := serve(t, demoBook(t))
	b := newTab(t)
	b.phone(360)
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{
			Source: `window.shift = 0; new PerformanceObserver(l => { for (const e of l.getEntries()) window.shift += e.value; }).observe({type: "layout-shift", buffered: true});`})
		return chromedp.Void{}, err
	})
	b.open(p.at("localhost", "/note/harvest"))
	b.ready()
	b.wait(`performance.getEntriesByType("resource").some(r => r.name.endsWith("/note/harvest"))`) // its own copy for no signal comes last
	type weight struct {
		Requests int     `json:"requests"`
		Bytes    float64 `json:"bytes"`
		Shift    float64 `json:"shift"`
		What     string  `json:"what"`
	}
	got := eval[weight](b, `(() => {
		const all = [performance.getEntriesByType("navigation")[0], ...performance.getEntriesByType("resource")].filter(r => !r.name.endsWith("/worker.js"));
		return {requests: all.length, bytes: all.reduce((s, r) => s + r.transferSize, 0), shift: window.shift, what: all.map(r => r.name.replace(/.*\//, "") + " " + r.transferSize).join(", ")};
	})()`)
	if got.Bytes > 30_000 || got.Requests > 6 || got.Shift >= 0.01 {
		t.Errorf("the entry page takes %.0f bytes in %d requests with a shift of %.4f; the budget is 30,000, 6 and 0.01 (%s)", got.Bytes, got.Requests, got.Shift, got.What)
	}
	t.Logf("%.0f bytes, %d requests, shift %.4f (%s)", got.Bytes, got.Requests, got.Shift, got.What)
}

// TestSheetsOnBothPapers prints a sheet of a few rows, which must fit on one page.
func TestSheetsOnBothPapers(t *testing.T) {
	t.Parallel()
	p := serve(t, demoBook(t))
	sheet(t, p)
	b := newTab(t)
	b.open(p.at("localhost", "/sheets/0001"))
	for _, paper := range []struct{ wide, high float64 }{{8.27, 11.69}, {8.5, 11}} {
		if n := b.printed(paper.wide, paper.high); n != 1 {
			t.Errorf("a sheet of few rows prints on %d pages of %.1f by %.1f in, want 1", n, paper.wide, paper.high)
		}
	}
}

// TestTheWalkFitsTheHand: on a usual phone all that a weighing needs is seen without scrolling, and nothing floats over the number.
func TestTheWalkFitsTheHand(t *testing.T) {
	t.Parallel()
	p := serve(t, bookOf(t, smallGarden(2)))
	b := newTab(t)
	for _, size := range [][2]int64{{360, 740}, {412, 760}, {360, 620}} {
		b.do(chromedp.EmulateViewport(size[0], size[1], chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch))
		b.open(p.at("localhost", "/note/harvest"))
		b.ready()
		if bottom := eval[float64](b, `document.querySelector(".save").getBoundingClientRect().bottom`); bottom > float64(size[1]) {
			t.Errorf("at %v the button ends at %.0f", size, bottom)
		}
		over := eval[string](b, `(() => { const n = document.getElementById("number"); n.focus(); const r = n.getBoundingClientRect(); return document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2).id; })()`)
		if over != "number" {
			t.Errorf("at %v %q lies over the number", size, over)
		}
	}
}
