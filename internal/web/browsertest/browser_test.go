package browsertest

import (
	"context"
	"crypto/sha256"
	"crypto/x509"
	"encoding/base64"
	"encoding/pem"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// browserPath finds the browser. Where none is installed the tests fail in CI and are loudly passed over elsewhere.
func browserPath(t testing.TB) string {
	t.Helper()
	for _, name := range []string{os.Getenv("FAIRPLOT_BROWSER"), "chromium", "chromium-browser", "google-chrome"} {
		if name == "" {
			continue
		}
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	if os.Getenv("CI") != "" {
		t.Fatal("no browser is installed, and CI must run the browser tests: install chromium or set FAIRPLOT_BROWSER")
	}
	t.Skip("NOT TESTED: no browser is installed; install chromium or set FAIRPLOT_BROWSER")
	return ""
}

func browserOptions(t testing.TB, profile string, more ...chromedp.ExecAllocatorOption) []chromedp.ExecAllocatorOption {
	return append([]chromedp.ExecAllocatorOption{
		chromedp.ExecPath(browserPath(t)), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.UserDataDir(profile),
		chromedp.Flag("host-resolver-rules", "MAP *.lan 127.0.0.1"), chromedp.Flag("hide-scrollbars", true), chromedp.Flag("disable-dev-shm-usage", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-background-timer-throttling", true),
		chromedp.Flag("disable-renderer-backgrounding", true), chromedp.Flag("disable-backgrounding-occluded-windows", true),
	}, more...)
}

// common is one browser for all tests that need no special one; each test has its own storage in it.
var common struct {
	once   sync.Once
	ctx    context.Context
	cancel func()
	err    error
}

func startBrowser(t testing.TB) {
	common.once.Do(func() {
		profile, err := os.MkdirTemp("", "fairplot-browser")
		if err != nil {
			common.err = err
			return
		}
		alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), browserOptions(t, profile)...)
		ctx, stop := chromedp.NewContext(alloc)
		common.ctx, common.err = ctx, chromedp.Do(ctx)
		common.cancel = func() { stop(); stopAlloc(); _ = os.RemoveAll(profile) }
	})
	if common.err != nil {
		t.Fatal(common.err)
	}
}

func stopBrowser() {
	if common.cancel != nil {
		common.cancel()
	}
}

// tab is one page of a browser, with what its console said.
type tab struct {
	t   testing.TB
	ctx context.Context

	mu     sync.Mutex
	errors []string
}

// newTab opens a tab with storage of its own.
func newTab(t testing.TB) *tab {
	t.Helper()
	browserPath(t)
	startBrowser(t)
	return openTab(t, common.ctx, chromedp.WithNewBrowserContext())
}

// another opens a second tab on the same storage.
func (b *tab) another() *tab {
	b.t.Helper()
	return openTab(b.t, b.ctx)
}

// patience is how long one tab may take in all.
func patience() time.Duration {
	if *long {
		return 20 * time.Minute
	}
	return 3 * time.Minute
}

func openTab(t testing.TB, parent context.Context, o ...chromedp.ContextOption) *tab {
	t.Helper()
	b := &tab{t: t}
	o = append(o, chromedp.WithListener(func(ev any) {
		if e, ok := ev.(*runtime.EventExceptionThrown); ok {
			b.mu.Lock()
			defer b.mu.Unlock()
			b.errors = append(b.errors, e.ExceptionDetails.Text)
		}
	}))
	ctx, cancel := chromedp.NewContext(parent, o...)
	ctx, stop := context.WithTimeout(ctx, patience())
	b.ctx = ctx
	t.Cleanup(func() {
		if t.Failed() {
			b.picture(filepath.Join(os.TempDir(), "failed-"+filepath.Base(t.Name())+".png"))
		}
		stop()
		cancel()
	})
	return b
}

// ownBrowser starts a browser with a profile that outlives it.
func ownBrowser(t testing.TB, profile string, more ...chromedp.ExecAllocatorOption) (*tab, func()) {
	t.Helper()
	alloc, stopAlloc := chromedp.NewExecAllocator(t.Context(), browserOptions(t, profile, more...)...)
	ctx, _ := chromedp.NewContext(alloc)
	end := sync.OnceFunc(func() { _ = chromedp.Cancel(ctx); stopAlloc() }) // closed, not killed: its cookies are written late
	t.Cleanup(end)
	return &tab{t: t, ctx: ctx}, end
}

// trusting lets a browser trust the certificate of a home.
func trusting(t testing.TB, certificate string) chromedp.ExecAllocatorOption {
	t.Helper()
	return chromedp.Flag("ignore-certificate-errors-spki-list", spki(t, certificate))
}

// spki is the hash by which the browser is told to trust a key.
func spki(t testing.TB, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	must(t, err)
	block, _ := pem.Decode(data)
	cert, err := x509.ParseCertificate(block.Bytes)
	must(t, err)
	sum := sha256.Sum256(cert.RawSubjectPublicKeyInfo)
	return base64.StdEncoding.EncodeToString(sum[:])
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatalf("%v; the page says %q", err, b.text("document.getElementById('state')?.innerText || document.title"))
	}
}

func (b *tab) open(url string) {
	b.t.Helper()
	b.do(chromedp.Navigate(url))
}

// phone makes the tab as small as a phone.
func (b *tab) phone(width int64) {
	b.t.Helper()
	b.do(chromedp.EmulateViewport(width, 740, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch))
}

func (b *tab) text(expression string) string {
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[string]("String("+expression+")"))
	if err != nil {
		return "(" + err.Error() + ")"
	}
	return out
}

func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	out, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return out
}

// wait polls until the expression is true in the page, across a change of page.
func (b *tab) wait(expression string) {
	b.t.Helper()
	var err error
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline) && b.ctx.Err() == nil; {
		if _, err = chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingInterval(20*time.Millisecond), chromedp.WithPollingTimeout(30*time.Second))); err == nil {
			return
		}
	}
	b.t.Fatalf("never came true: %s (%v); the page says %q", expression, err, b.text("document.getElementById('state')?.innerText || document.title"))
}

// ready waits for a page for noting.
func (b *tab) ready() {
	b.t.Helper()
	b.wait(`document.documentElement.dataset.ready === "yes"`)
}

// sent waits until everything noted has arrived.
func (b *tab) sent() {
	b.t.Helper()
	b.wait(`document.documentElement.dataset.unsent === "0"`)
}

func (b *tab) picture(file string) {
	data, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(file, data, 0o600)
	}
	if err != nil {
		b.t.Logf("no picture: %v", err)
		return
	}
	b.t.Logf("picture: %s", file)
}

// faults are the exceptions of the page so far.
func (b *tab) faults() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return append([]string(nil), b.errors...)
}
