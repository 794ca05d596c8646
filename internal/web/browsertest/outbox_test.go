package browsertest

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"fairplot/internal/book"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
)

// join makes a code at the desk and joins a phone with it by the form, on plain http under a name of the home network.
func join(t testing.TB, p *program) *tab {
	t.Helper()
	b := newTab(t)
	b.phone(360)
	b.joinAt(p, p.at("garden.lan", "/join"))
	return b
}

func (b *tab) joinAt(p *program, url string) {
	b.t.Helper()
	b.open(url)
	b.do(chromedp.SetValue(chromedp.ID("code"), code(b.t, p)), chromedp.SetValue(chromedp.ID("name"), "Wren's phone"), chromedp.Submit(chromedp.ID("code")))
	b.wait(`location.pathname === "/note/harvest" && document.documentElement.dataset.ready === "yes"`)
}

// code asks for a joining code at the home computer.
func code(t testing.TB, p *program) string {
	t.Helper()
	resp, err := http.PostForm(p.at("localhost", "/phones/code"), nil)
	must(t, err)
	defer resp.Body.Close()
	page := make([]byte, 1<<20)
	n := 0
	for {
		k, err := resp.Body.Read(page[n:])
		n += k
		if err != nil {
			break
		}
	}
	m := regexp.MustCompile(`The code is <b>(\d{8})</b>`).FindSubmatch(page[:n])
	if m == nil {
		t.Fatalf("no code on the page: %s", page[:n])
	}
	return string(m[1])
}

// weighing types a weight in grams with the page's own form and answers when the page says that it is kept.
const weighing = `async grams => {
	const number = document.getElementById("number"), before = Number(document.documentElement.dataset.noted || 0);
	number.value = (grams / 1000).toFixed(3);
	number.dispatchEvent(new Event("input", {bubbles: true}));
	document.getElementById("walk").requestSubmit();
	for (let i = 0; number.value && i < 2000; i++) await new Promise(ok => setTimeout(ok, 5));
	return number.value === "";
}`

func (b *tab) weigh(grams ...int) {
	b.t.Helper()
	for _, g := range grams {
		if !eval[bool](b, fmt.Sprintf("(%s)(%d)", weighing, g)) {
			b.t.Fatalf("%d g was not kept; the page says %q", g, b.text("document.getElementById('state').innerText"))
		}
	}
}

// online tells the page that there may be a signal again.
func (b *tab) online() {
	b.t.Helper()
	eval[bool](b, `dispatchEvent(new Event("online"))`)
}

// grams are the weights in the book, sorted.
func grams(t testing.TB, path string) []int {
	t.Helper()
	var out []int
	for _, h := range harvests(t, path) {
		out = append(out, int(float64(h.Net().Value)*1000+0.5))
	}
	slices.Sort(out)
	return out
}

func wantGrams(t testing.TB, path string, want ...int) {
	t.Helper()
	if got := grams(t, path); !slices.Equal(got, want) {
		t.Errorf("the book has %v g, want %v", got, want)
	}
}

// TestEveryEntryIsStoredOnceThroughKills notes from two tabs while the program is killed again and again.
func TestEveryEntryIsStoredOnceThroughKills(t *testing.T) {
	t.Parallel()
	entries, kills := 60, 10
	if *long {
		entries, kills = 3000, 200
	}
	path := bookOf(t, smallGarden(6))
	p := serve(t, path, "--share")
	first := join(t, p)
	second := first.another()
	second.open(p.at("garden.lan", "/note/harvest"))
	second.ready()
	random := rand.New(rand.NewPCG(6, 60))
	var want []int
	next := 0
	for k := range kills {
		var busy sync.WaitGroup
		for _, b := range []*tab{first, second} {
			var some []int
			for range entries / kills / 2 {
				next++
				some = append(some, next)
			}
			want = append(want, some...)
			early := random.IntN(len(some) + 1) // so many are noted before the kill, the others while it happens
			b.weigh(some[:early]...)
			busy.Go(func() { b.weigh(some[early:]...) })
		}
		p.kill()
		busy.Wait()
		p.start()
		if k%3 == 0 {
			first.online()
		}
	}
	for _, b := range []*tab{first, second} {
		b.online()
		b.sent()
		if faults := b.faults(); len(faults) > 0 {
			t.Errorf("the page threw %v", faults)
		}
	}
	wantGrams(t, path, want...)
}

// TestWrongAnswersLeaveEntriesUnsent puts another server in the program's place: the sign-in page of some network, a redirect, other receipts.
func TestWrongAnswersLeaveEntriesUnsent(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	p.kill()
	b.weigh(100, 200)
	for _, wrong := range []struct {
		name   string
		answer http.HandlerFunc
	}{
		{"a page", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "text/html")
			fmt.Fprint(w, "<h1>Sign in</h1>")
		}},
		{"a redirect", func(w http.ResponseWriter, r *http.Request) { http.Redirect(w, r, "/signin", http.StatusFound) }},
		{"other JSON", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "application/json")
			fmt.Fprint(w, `{"ok":true}`)
		}},
		{"receipts of others", func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Type", "application/json")
			fmt.Fprint(w, `{"book":"0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f50","got":[{"id":"0190a7c2-7c1e-7d2b-9f3a-5b1c2d3e4f51","is":"new"}]}`)
		}},
		{"not joined", func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "join", http.StatusUnauthorized) }},
		{"a full disk", func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "full", http.StatusInsufficientStorage) }},
	} {
		t.Run(wrong.name, func(t *testing.T) {
			l, err := net.Listen("tcp", fmt.Sprintf("127.0.0.1:%d", p.port))
			must(t, err)
			posted := make(chan bool, 10)
			server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
				if r.URL.Path == "/api/entries" {
					posted <- true
				}
				wrong.answer(w, r)
			})}
			go func() { _ = server.Serve(l) }()
			b.online()
			<-posted
			b.wait(`document.documentElement.dataset.trouble !== ""`)
			must(t, server.Close())
			if n := b.text("document.documentElement.dataset.unsent"); n != "2" {
				t.Errorf("%s unsent, want 2", n)
			}
		})
	}
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 100, 200)
}

// TestARestoredBackupGetsEverythingAgain puts an old copy of the book back under another name, as a restored backup has.
func TestARestoredBackupGetsEverythingAgain(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	backup, err := os.ReadFile(path)
	must(t, err)
	p := serve(t, path, "--share")
	b := join(t, p)
	b.weigh(100, 200, 300)
	b.sent()
	p.kill()
	for _, end := range []string{"-wal", "-shm"} {
		_ = os.Remove(path + end)
	}
	must(t, os.WriteFile(path, backup, 0o600))
	restored, err := book.Open(t.Context(), path, book.Options{})
	must(t, err)
	_, err = restored.Renew(t.Context())
	must(t, err)
	must(t, restored.Close())
	p.start()
	b.weigh(400)
	b.online()
	b.sent()
	wantGrams(t, path, 100, 200, 300, 400)
}

// TestAStoreTakenAwayUnderThePageIsFilledAgain empties the browser's store while the page is open and the program is down.
func TestAStoreTakenAwayUnderThePageIsFilledAgain(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	p.kill()
	b.weigh(100, 200, 300)
	b.do(func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: strings.TrimSuffix(p.at("garden.lan", ""), "/"), StorageTypes: "indexeddb"})
		return chromedp.Void{}, err
	})
	b.weigh(400)
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 100, 200, 300, 400)
}

// TestAWeightThatCannotBeKeptStaysInTheField makes the store refuse while the program is down.
func TestAWeightThatCannotBeKeptStaysInTheField(t *testing.T) {
	t.Parallel()
	p := serve(t, bookOf(t, smallGarden(2)), "--share")
	b := join(t, p)
	p.kill()
	eval[bool](b, `IDBObjectStore.prototype.put = () => { throw new DOMException("full", "QuotaExceededError"); }, true`)
	b.do(chromedp.SetValue(chromedp.ID("number"), "0.5"))
	eval[bool](b, `document.getElementById("walk").requestSubmit(), true`)
	b.wait(`document.documentElement.dataset.failed === "yes"`)
	if words := b.text("document.getElementById('state').innerText"); !strings.Contains(words, "NOT saved") {
		t.Errorf("the page says %q", words)
	}
	if v := b.text("document.getElementById('number').value"); v != "0.5" {
		t.Errorf("the field holds %q, want 0.5", v)
	}
}

// TestTapsWhileAnEntryIsKept: a second tap makes no second entry, and what is typed on meanwhile is the beginning of the next.
func TestTapsWhileAnEntryIsKept(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	b := join(t, serve(t, path, "--share"))
	eval[bool](b, `(() => {
		const walk = document.getElementById("walk"), number = document.getElementById("number");
		number.value = "0.5";
		walk.requestSubmit();
		walk.requestSubmit();
		number.value += "7";
		addEventListener("told", () => walk.requestSubmit(), {once: true}); // the store has it, and the page is being told
		return true;
	})()`)
	b.wait(`document.documentElement.dataset.failed === "no" && document.getElementById("number").value === "7"`)
	b.sent()
	wantGrams(t, path, 500)
}

// TestTheAddressOpensWithNoProgram opens the page anew on plain http while the program is down.
func TestTheAddressOpensWithNoProgram(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	b.open(p.at("garden.lan", "/note/harvest"))
	b.ready()
	b.wait(`performance.getEntriesByType("resource").filter(r => r.name.endsWith("/note/harvest")).length > 0`)
	p.kill()
	b.open("about:blank")
	b.open(p.at("garden.lan", "/note/harvest"))
	b.ready()
	b.weigh(700)
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 700)
}

// TestWhatCouldNotBeSentComesInAsAFile takes the phone's own file in by the command line, then lets the phone send as well.
func TestWhatCouldNotBeSentComesInAsAFile(t *testing.T) {
	t.Parallel()
	path := bookOf(t, smallGarden(2))
	p := serve(t, path, "--share")
	b := join(t, p)
	p.kill()
	b.weigh(100, 200)
	lines := eval[string](b, `new Promise(ok => { const rq = indexedDB.open("fairplot"); rq.onsuccess = () => { const all = rq.result.transaction("box").objectStore("box").getAll(); all.onsuccess = () => { rq.result.close(); ok(all.result.map(x => x.body).join("\n")); }; }; })`)
	file := t.TempDir() + "/kept.jsonl"
	must(t, os.WriteFile(file, []byte(lines+"\n"), 0o600))
	if out := run(t, "import", "entries", file, "--book", path); !strings.Contains(out, "2 new") {
		t.Errorf("the import says %q", out)
	}
	p.start()
	b.online()
	b.sent()
	wantGrams(t, path, 100, 200)
}
