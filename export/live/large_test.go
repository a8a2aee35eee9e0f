package live

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/export/page"
)

// BenchmarkLarge works the page of 5,000 tracks in headless Chromium and gives, in
// milliseconds: a request of the page with nothing changed, from asking to the first paint of
// a served page, and from the click on a mark, and on Undo, until the picture shows it. The
// lightest mark changes one row, the heaviest all of them.
//
//	go test ./export/live -run '^$' -bench Large -benchtime 5x
func BenchmarkLarge(b *testing.B) {
	db := crate(b, manyTracks)
	base := served(b, db, Options{})
	ctx := browser.Tab(b)
	browser.Screen(b, ctx, 1440, 900, "light")
	visit(b, ctx, base)
	ms := map[string]float64{}
	n := 0.0
	for b.Loop() {
		ms["request"] += requestTime(b, base)
		browser.Do(b, ctx, browser.Navigate("about:blank"), browser.Navigate(base))
		browser.Until(b, ctx, `performance.getEntriesByName('first-contentful-paint').length && document.body.classList.contains('js')`)
		ms["first-paint"] += browser.Eval[float64](b, ctx, `performance.getEntriesByName('first-contentful-paint')[0].startTime`)
		browser.Eval[bool](b, ctx, fmt.Sprintf(allRows, manyTracks)) // the rest follows behind the first paint
		for _, mark := range []string{"released", "ignore", "reference"} {
			shows, undone := markTime(b, ctx, mark)
			ms[mark] += shows
			ms["undo-"+mark] += undone
		}
		n++
	}
	for what, sum := range ms {
		b.ReportMetric(sum/n, "ms-"+what)
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

// pressTime gives the ms from a click on a button until the second frame after the page says so.
const pressTime = `new Promise(done => {
	const from = performance.now(), said = document.getElementById('undo').textContent;
	document.querySelector(%q).click();
	const look = () => document.getElementById('undo').textContent === said ? requestAnimationFrame(look)
		: requestAnimationFrame(() => done(performance.now() - from));
	look();
})`

// markTime marks the worst track and takes it back.
func markTime(b *testing.B, ctx context.Context, mark string) (shows, undone float64) {
	b.Helper()
	browser.Do(b, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(b, ctx, `document.querySelector('.row.open .marks')`)
	button := ".row.open .marks [value=" + mark + "]"
	if mark == "reference" { // which is asked about first
		browser.Do(b, ctx, chromedp.Click(chromedp.CSS(button)))
		button = ".row.open .ask [data-sure]"
		browser.Until(b, ctx, `document.querySelector('.ask')`)
	}
	shows = browser.Eval[float64](b, ctx, fmt.Sprintf(pressTime, button))
	undone = browser.Eval[float64](b, ctx, fmt.Sprintf(pressTime, "#undo button"))
	browser.Eval[bool](b, ctx, refreshed)
	browser.Eval[bool](b, ctx, `(document.querySelector('.row.open h3 a').click(), true)`)
	browser.Until(b, ctx, `!document.querySelector('.row.open')`)
	return shows, undone
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
