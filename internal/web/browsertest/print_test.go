package browsertest

import (
	"context"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// printed prints the page on paper of so many inches and counts its pages.
func (b *tab) printed(wide, high float64) int {
	b.t.Helper()
	pdf, err := chromedp.Run(b.ctx, func(ctx context.Context, t *chromedp.Target) ([]byte, error) {
		res, err := cdp.Call(ctx, t, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: wide, PaperHeight: high})
		return res.Data, err
	})
	must(b.t, err)
	return strings.Count(string(pdf), "/Type /Page\n")
}

// measured is a sheet as it would be laid out on one endless page: heights in CSS dots.
type measured struct {
	Top  float64   `json:"top"` // of the table
	Head float64   `json:"head"`
	Rows []float64 `json:"rows"`
}

// pages fills pages of a height with the rows one after the other, none broken, with the head on the first page or on each.
func (m measured) pages(height float64, eachPage bool) int {
	n, at := 1, m.Top+m.Head
	for _, r := range m.Rows {
		if at+r > height+0.5 { // heights are rounded
			n, at = n+1, 0
			if eachPage {
				at = m.Head
			}
		}
		at += r
	}
	return n
}

// The margins of print in look.css, in mm.
const marginSides, marginEnds = 12 + 12, 14 + 16

// TestALongSheetOnBothPapers prints a sheet of many rows. That its head stands on every page is found by arithmetic, since no text is read out
// of a print: with the head on each page fewer rows fit on it, and the number of rows is one where that makes a page more.
func TestALongSheetOnBothPapers(t *testing.T) {
	t.Parallel()
	p := serve(t, bookOf(t, smallGarden(210)))
	b := newTab(t)
	b.open(p.at("localhost", "/sheets"))
	b.do(chromedp.Submit(chromedp.ID("garden")))
	b.wait(`location.pathname === "/sheets/0001"`)
	eval[bool](b, `document.querySelectorAll(".sheet-how, .foot").forEach(e => e.hidden = true), document.querySelector(".sheet-how").style.display = "none", true`)
	for _, paper := range []struct {
		name       string
		wide, high float64 // mm, ISO 216 and ANSI Y14.1
	}{{"A4", 210, 297}, {"Letter", 215.9, 279.4}} {
		const dots = 96 / 25.4 // CSS dots in a mm
		b.media("print")
		b.do(chromedp.EmulateViewport(int64((paper.wide-marginSides)*dots), 900))
		m := eval[measured](b, `(() => {
			const high = e => e.getBoundingClientRect().height, table = document.querySelector(".sheet table");
			return {top: table.getBoundingClientRect().top + scrollY, head: high(table.tHead), rows: [...table.tBodies[0].rows].map(high)};
		})()`)
		b.media("")
		height := (paper.high - marginEnds) * dots
		want, once := m.pages(height, true), m.pages(height, false)
		if want == once {
			t.Errorf("%s: %d rows cannot tell whether the head is repeated", paper.name, len(m.Rows))
		}
		if n := b.printed(paper.wide/25.4, paper.high/25.4); n != want {
			t.Errorf("%s: printed on %d pages, want %d with the head on each (%d with it once)", paper.name, n, want, once)
		}
		eval[bool](b, `document.querySelector("thead").style.display = "table-row-group", true`)
		if n := b.printed(paper.wide/25.4, paper.high/25.4); n != once {
			t.Errorf("%s: with the head once, printed on %d pages, want %d", paper.name, n, once)
		}
		eval[bool](b, `document.querySelector("thead").style.display = "", true`)
	}
}

// media shows the page as for print, or as it is.
func (b *tab) media(of string) {
	b.t.Helper()
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: of})
		return chromedp.Void{}, err
	})
}

// TestALongTableOnBothPapers prints the table of a garden of many beds. Its head is made high for the test, though less than the quarter of a
// page up to which Chromium repeats one, so that it costs whole pages where it stands on each.
func TestALongTableOnBothPapers(t *testing.T) {
	t.Parallel()
	p := serve(t, bookOf(t, smallGarden(210)))
	b := newTab(t)
	b.open(p.at("localhost", "/ground"))
	for _, paper := range []struct {
		name       string
		wide, high float64
	}{{"A4", 210, 297}, {"Letter", 215.9, 279.4}} {
		eval[bool](b, `document.querySelector("thead tr").style.height = "50mm", document.querySelector("thead").style.display = "", true`)
		each := b.printed(paper.wide/25.4, paper.high/25.4)
		eval[bool](b, `document.querySelector("thead").style.display = "table-row-group", true`)
		once := b.printed(paper.wide/25.4, paper.high/25.4)
		// Of n pages all but one have 50 mm less for rows.
		if room := paper.high - marginEnds; float64(each) < float64(once)*room/(room-50)-1.5 || each <= once {
			t.Errorf("%s: the table takes %d pages, and %d with its head on the first alone; it is not repeated", paper.name, each, once)
		}
	}
}
