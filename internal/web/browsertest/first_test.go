package browsertest

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// hand does what a thumb does, and counts it.
type hand struct {
	*tab
	taps, keys int
}

func (h *hand) tap(css string) {
	h.t.Helper()
	h.taps++
	h.do(chromedp.Click(chromedp.CSS(css)))
}

// types taps a field and types into it.
func (h *hand) types(css, text string) {
	h.t.Helper()
	h.tap(css)
	h.keys += len(text)
	h.do(chromedp.SendKeys(chromedp.CSS(css), text))
}

// mostSteps is what fits in two minutes at four seconds for each tap and each key.
const mostSteps = 30

// TestTheFirstWeighingNeedsNothingSetUp: from a new book through joining a phone to the first weight, in a bed that is named in passing; then taken
// back. Every tap and key counts, on the computer and on the phone.
func TestTheFirstWeighingNeedsNothingSetUp(t *testing.T) {
	t.Parallel()
	path := emptyBook(t)
	p := serve(t, path, "--share")
	start := time.Now()
	desk, phone := &hand{tab: newTab(t)}, &hand{tab: newTab(t)}
	desk.do(chromedp.EmulateViewport(1200, 900))
	phone.phone(360)
	desk.open(p.at("localhost", "/"))
	desk.tap(`.foot a[href="/phones"]`)
	desk.wait(`location.pathname === "/phones"`)
	desk.tap(`form[action="/phones/code"] button`)
	desk.wait(`location.pathname === "/phones/code"`)
	code := strings.TrimSpace(desk.text(`document.querySelector("svg") && document.body.innerText.match(/The code is (\d{8})/)[1]`))
	phone.taps++ // on what the camera read
	phone.open(p.at("garden.lan", "/join#"+code))
	phone.wait(`document.getElementById("code").value !== ""`)
	phone.tap(".save")
	phone.wait(`location.pathname === "/note/harvest" && document.documentElement.dataset.ready === "yes"`)

	phone.types("#new-bed", "kitchen/1")
	phone.types("#other-crop", "carrot")
	for _, key := range []string{"0", ".", "8", "4"} {
		phone.tap(`.keys button[data-key="` + key + `"]`)
	}
	phone.says(".save", "Save 0.84 kg carrot")
	phone.tap(".save")
	phone.wait(`document.getElementById("last").innerText.includes("0.84 kg carrot, kitchen/1")`)
	phone.sent()
	steps := desk.taps + desk.keys + phone.taps + phone.keys
	t.Logf("%d taps at the desk, %d taps and %d keys on the phone; the machine took %.1f s", desk.taps, phone.taps, phone.keys, time.Since(start).Seconds())
	if steps > mostSteps {
		t.Errorf("the first weighing took %d taps and keys, want %d at most", steps, mostSteps)
	}
	phone.says("#kept", "arrived")
	phone.shot("first-weighing")
	wantGrams(t, path, 840)
	desk.open(p.at("localhost", "/diary"))
	desk.says("main", "carrot")
	phone.wait(`[...document.querySelectorAll("#bed option")].some(o => o.textContent === "kitchen/1") || JSON.parse(document.getElementById("facts").textContent).beds.length === 0`)
	phone.do(chromedp.Click(chromedp.CSS("#last button")))
	phone.wait(`document.getElementById("last").innerText.includes("Nothing noted yet")`)
	phone.sent()
	wantGrams(t, path)
}
