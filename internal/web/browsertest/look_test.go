package browsertest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// everyPage are the addresses of the pages on the invented book, and those of the empty one.
var everyPage = []string{
	"/", "/diary", "/ground", "/ground?by=cultivation", "/ground?by=yield&season=2023", "/seasons", "/ask", "/ask/compare?subject=cultivation", "/sort-out", "/sheets", "/bring-in", "/settings", "/phones",
	"/note", "/kept", "/note/harvest", "/note/round", "/note/sow", "/note/thin", "/note/finished", "/note/dig", "/note/compost", "/note/water", "/note/work", "/note/measure", "/note/cover", "/note/loss", "/note/note", "/join", "/nowhere",
}

// TestPictures takes a picture of every page, to be looked at; it is asked for by -shots.
func TestPictures(t *testing.T) {
	if *shots == "" {
		t.Skip("pictures are taken with -shots FOLDER")
	}
	must(t, os.MkdirAll(*shots, 0o755))
	for _, kind := range []string{"demo", "empty"} {
		path := emptyBook(t)
		pages := []string{"/", "/diary", "/ground", "/seasons", "/ask", "/note/harvest", "/note/sow", "/ask/compare?subject=cultivation"}
		if kind == "demo" {
			path, pages = demoBook(t), everyPage
		}
		p := serve(t, path, "--share", "--safe")
		if kind == "demo" {
			sheet(t, p)
			pages = append(pages, "/sheets/0001", "/sheets/0001/type", linkOn(t, p, "/ground?season=2025", "/planting/"), linkOn(t, p, "/sort-out", "/sort-out/"))
		}
		for _, size := range []int64{360, 1200} {
			b := newTab(t)
			b.phone(360)
			if size != 360 {
				b.do(chromedp.EmulateViewport(1200, 900))
			}
			for i, page := range pages {
				b.open(p.at("localhost", page))
				if onPhone(page) && page != "/join" {
					b.ready()
				}
				name := strings.NewReplacer("/", "_", "?", "_", "=", "-", "&", "_").Replace(page)
				if len(name) > 40 {
					name = fmt.Sprintf("%.10s%d", name, i)
				}
				b.picture(filepath.Join(*shots, kind+name+map[int64]string{360: "-phone", 1200: "-desk"}[size]+".png"))
			}
		}
	}
}

// linkOn finds the first link on a page that begins so.
func linkOn(t testing.TB, p *program, page, begins string) string {
	t.Helper()
	b := newTab(t)
	b.open(p.at("localhost", page))
	return eval[string](b, fmt.Sprintf(`document.querySelector("a[href^='%s']").getAttribute("href")`, begins))
}

// shot takes a picture of what a test has come to, if -shots asks for pictures.
func (b *tab) shot(name string) {
	b.t.Helper()
	if *shots != "" {
		must(b.t, os.MkdirAll(*shots, 0o755))
		b.picture(filepath.Join(*shots, name+".png"))
	}
}
