package live

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/export/page"
)

// BenchmarkLarge works the page of 5,000 tracks in headless Chromium. "page" gives in milliseconds a
// request with nothing changed, and from asking to the first paint of a served page. A mark
// gives, from the click on it and on Undo: shows, until the picture has it, with the pictures,
// the tally and the rows that a screen can show; all, until the last of the rows that changed
// does; task, what the page's thread works for that, in CPU time, of which layout is style and
// layout; server, what the program works. These two say something where others work beside. The
// lightest mark changes one row, the heaviest all of them.
//
//	go test ./export/live -run '^$' -bench Large -benchtime 5x
func BenchmarkLarge(b *testing.B) {
	db := crate(b, manyTracks)
	base := served(b, db, Options{})
	ctx := browser.Tab(b)
	browser.Screen(b, ctx, 1440, 900, "light")
	visit(b, ctx, base)
	if _, err := chromedp.Call(ctx, performance.Enable, performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks}); err != nil {
		b.Fatal(err)
	}
	b.Run("page", func(b *testing.B) {
		m := means{}
		for b.Loop() {
			m["ms-request"] += requestTime(b, base)
			browser.Do(b, ctx, browser.Navigate("about:blank"), browser.Navigate(base))
			browser.Until(b, ctx, `performance.getEntriesByName('first-contentful-paint').length && document.body.classList.contains('js')`)
			m["ms-first-paint"] += browser.Eval[float64](b, ctx, `performance.getEntriesByName('first-contentful-paint')[0].startTime`)
			browser.Eval[bool](b, ctx, fmt.Sprintf(allRows, manyTracks)) // the rest follows behind the first paint
		}
		m.report(b)
	})
	for _, mark := range []string{"released", "ignore", "reference"} {
		b.Run(mark, func(b *testing.B) {
			m := means{}
			for b.Loop() {
				markTime(b, ctx, mark, m)
			}
			m.report(b)
		})
	}
}

// means are sums of figures over the runs of a benchmark.
type means map[string]float64

func (m means) report(b *testing.B) {
	for what, sum := range m {
		b.ReportMetric(sum/float64(b.N), what)
	}
}

// requestTime is what one request of the page takes, in ms.
func requestTime(b *testing.B, base string) float64 {
	b.Helper()
	start := time.Now()
	answer, err := fetch(b, http.DefaultClient, base+"/")
	if err != nil {
		b.Fatal(err)
	}
	answer.Body.Close()
	return float64(time.Since(start).Microseconds()) / 1000
}

// pressTime gives the ms from a click on a button until the second frame after the page says so,
// and until that after the last row that changed is there.
const pressTime = `new Promise(done => {
	const from = performance.now(), said = document.getElementById('undo').textContent, passed = () => performance.now() - from;
	let shows = 0, all = false;
	const last = event => {
		if (event.detail.more) return;
		document.removeEventListener('library-change', last);
		all = true;
	};
	document.addEventListener('library-change', last);
	document.querySelector(%q).click();
	const look = () => {
		if (document.getElementById('undo').textContent === said) return requestAnimationFrame(look);
		requestAnimationFrame(() => { shows ||= passed(); all ? done([shows, passed()]) : look(); });
	};
	look();
})`

// press clicks a button and adds what that takes.
func press(b *testing.B, ctx context.Context, button string, m means, as string) {
	b.Helper()
	work, user := worked(b, ctx), userTime(b)
	took := browser.Eval[[2]float64](b, ctx, fmt.Sprintf(pressTime, button))
	m["ms-"+as+"shows"] += took[0]
	m["ms-"+as+"all"] += took[1]
	m["ms-"+as+"server"] += (userTime(b) - user) * 1000
	for what, ms := range worked(b, ctx) {
		m["ms-"+as+what] += ms - work[what]
	}
}

// worked is what the page's thread has worked so far, in ms.
func worked(b *testing.B, ctx context.Context) map[string]float64 {
	b.Helper()
	answer, err := chromedp.Call(ctx, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	m := map[string]float64{}
	for _, x := range answer.Metrics {
		if what := map[string]string{"TaskDuration": "task", "LayoutDuration": "layout", "RecalcStyleDuration": "layout"}[x.Name]; what != "" {
			m[what] += x.Value * 1000
		}
	}
	return m
}

// markTime marks the worst track and takes it back.
func markTime(b *testing.B, ctx context.Context, mark string, m means) {
	b.Helper()
	browser.Do(b, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(b, ctx, `document.querySelector('.row.open .marks')`)
	button := ".row.open .marks [value=" + mark + "]"
	if mark == "reference" { // which is asked about first
		browser.Do(b, ctx, chromedp.Click(chromedp.CSS(button)))
		button = ".row.open .ask [data-sure]"
		browser.Until(b, ctx, `document.querySelector('.ask')`)
	}
	press(b, ctx, button, m, "")
	browser.Eval[bool](b, ctx, refreshed)
	press(b, ctx, "#undo button", m, "undo-")
	browser.Eval[bool](b, ctx, refreshed)
	browser.Eval[bool](b, ctx, `(document.querySelector('.row.open h3 a').click(), true)`)
	browser.Until(b, ctx, `!document.querySelector('.row.open')`)
}

// BenchmarkServed is what the server alone takes for 5,000 tracks: a page with nothing changed,
// and a mark and its undo up to the answer with what changed.
func BenchmarkServed(b *testing.B) {
	s := New(crate(b, manyTracks), Options{})
	worst := fmt.Sprint(func() int64 {
		d := page.Delta{}
		_ = json.Unmarshal([]byte(get(s, "/changes")), &d)
		return d.Order[0]
	}())
	send := func(target string, form url.Values) {
		if w := ask(s, "POST", target, form.Encode(), header("Accept", "application/json")); w.Code != http.StatusOK {
			b.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			get(s, "/")
		}
	})
	for _, mark := range []string{"released", "ignore", "reference"} {
		var undo time.Duration
		b.Run(mark, func(b *testing.B) {
			for b.Loop() {
				send("/marks", url.Values{"mark": {mark}, "id": {worst}, "sure": {"1"}})
				start := time.Now()
				send("/undo", url.Values{"step": {fmt.Sprint(s.lastMark().Step)}})
				undo += time.Since(start)
			}
			b.ReportMetric(float64(undo.Milliseconds())/float64(b.N), "ms-of-it-undo")
		})
	}
}
