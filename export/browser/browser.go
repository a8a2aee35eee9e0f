// Package browser works pages in headless Chromium, for tests; nothing but tests
// imports it.
package browser

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"dubgauge/decode/need"
)

// Tab starts a headless browser, or takes the one that runs, and gives the
// context of a new tab in a profile of its own. What goes wrong in the tab, and
// which hosts it asks, is watched until the test ends.
func Tab(t testing.TB) context.Context {
	t.Helper()
	return TabWith(t)
}

// TabWith is Tab where answers with these statuses ("404") belong to the test.
func TabWith(t testing.TB, statuses ...string) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("pages are tested in a browser without -short")
	}
	ctx, cancel := context.WithTimeout(running(t), 2*time.Minute)
	t.Cleanup(cancel)
	tab, closeTab := chromedp.NewContext(ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(closeTab)
	watch(t, tab, statuses)
	return tab
}

var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func running(t testing.TB) context.Context {
	t.Helper()
	path := need.Program(t, "chromium", "chromium-browser", "google-chrome")
	shared.once.Do(func() { startBrowser(path) })
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.ctx
}

func startBrowser(path string) {
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path),
		chromedp.Flag("autoplay-policy", "no-user-gesture-required"))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox) // Chromium refuses to start as root otherwise
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, stop := chromedp.NewContext(alloc)
	shared.ctx, shared.stop = ctx, func() { stop(); stopAlloc() }
	shared.err = chromedp.Do(ctx)
}

// Stop ends the browser; TestMain calls it when all tests are done.
func Stop() {
	if shared.stop != nil {
		shared.stop()
	}
}

// watch fails the test on anything that the browser complains of, and on a
// request to any other host; answers with these statuses are expected.
func watch(t testing.TB, ctx context.Context, statuses []string) {
	var mu sync.Mutex
	var wrong []string
	err := chromedp.Listen(ctx, func(event any) {
		mu.Lock()
		defer mu.Unlock()
		w := complaint(event)
		expected := slices.ContainsFunc(statuses, func(s string) bool { return strings.Contains(w, "responded with a status of "+s+" ") })
		if w != "" && !expected {
			wrong = append(wrong, w)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		mu.Lock()
		defer mu.Unlock()
		if len(wrong) > 0 {
			t.Errorf("the browser complains:\n%s", strings.Join(wrong, "\n"))
		}
	})
}

func complaint(event any) string {
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		s := e.ExceptionDetails.Text
		if o := e.ExceptionDetails.Exception; o != nil {
			s += " " + o.Description
		}
		return s
	case *runtime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" {
			return fmt.Sprintf("console.%s: %s", e.Type, e.Args[0].Value)
		}
	case *log.EventEntryAdded:
		// The icon of a page is asked for when the browser likes, behind the end of a server too.
		gone := strings.Contains(e.Entry.Text, "ERR_CONNECTION_REFUSED") && strings.HasSuffix(e.Entry.URL, "/icon.svg")
		if !gone && (e.Entry.Level == "error" || e.Entry.Level == "warning") {
			return fmt.Sprintf("log: %s (%s)", e.Entry.Text, e.Entry.URL)
		}
	case *network.EventRequestWillBeSent:
		u, err := url.Parse(e.Request.URL)
		if err != nil || u.Hostname() != "" && u.Hostname() != "127.0.0.1" {
			return "request to " + e.Request.URL
		}
	}
	return ""
}

// Do works in a tab or ends the test.
func Do(t testing.TB, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// Navigate leads a tab to an address.
func Navigate(url string) chromedp.Action[chromedp.Void] { return chromedp.Navigate(url) }

// Screen sets the size of the window and light or dark.
func Screen(t testing.TB, ctx context.Context, width, height int64, scheme string) {
	t.Helper()
	Do(t, ctx, chromedp.EmulateViewport(width, height))
	media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		t.Fatal(err)
	}
}

// Eval evaluates an expression in a tab, waiting for a promise.
func Eval[T any](t testing.TB, ctx context.Context, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise, chromedp.EvalAsValue))
	if err != nil {
		t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// Until waits for an expression to become true.
func Until(t testing.TB, ctx context.Context, expression string) {
	t.Helper()
	for end := time.Now().Add(waitTime); ; {
		_, err := chromedp.Run(ctx, chromedp.Poll[bool]("!!("+expression+")", chromedp.WithPollingTimeout(waitTime)))
		if err == nil {
			return
		}
		// A page that is being left takes its scripts with it; the next one is asked anew.
		left := strings.Contains(err.Error(), "Cannot find context") || strings.Contains(err.Error(), "navigated or closed")
		if !left || time.Now().After(end) {
			t.Fatalf("waiting for %s: %v", expression, err)
		}
	}
}

// Sign presses one key as a keyboard does: a handler of keydown that prevents the
// default also prevents the character.
func Sign(t testing.TB, ctx context.Context, key string) {
	t.Helper()
	for _, kind := range []input.DispatchKeyEventType{"keyDown", "keyUp"} {
		p := input.DispatchKeyEventParams{Type: kind, Key: key}
		if kind == "keyDown" {
			p.Text = key
		}
		if _, err := chromedp.Call(ctx, input.DispatchKeyEvent, p); err != nil {
			t.Fatal(err)
		}
	}
}

// waitTime is long, as the machine may be busy; a passing test never needs it.
const waitTime = 20 * time.Second

// Picture takes a screenshot of the window as PNG.
func Picture(t testing.TB, ctx context.Context) []byte {
	t.Helper()
	b, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		t.Fatal(err)
	}
	return b
}
