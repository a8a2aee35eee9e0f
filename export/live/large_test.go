package live

import (
	"context"
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
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

// pressed gives the ms from a click on a button until the second frame after the page says so.
const pressed = `new Promise(done => {
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
	shows = browser.Eval[float64](b, ctx, fmt.Sprintf(pressed, button))
	undone = browser.Eval[float64](b, ctx, fmt.Sprintf(pressed, "#undo button"))
	browser.Eval[bool](b, ctx, refreshed)
	browser.Do(b, ctx, chromedp.KeyEvent("\x1b"))
	browser.Until(b, ctx, `!document.querySelector('.row.open')`)
	return shows, undone
}
