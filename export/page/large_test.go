package page

import (
	"io"
	"os"
	"path/filepath"
	"testing"

	"dubgauge/export/browser"
	"dubgauge/export/madeup"
)

const (
	manyRows    = 5000
	largestFile = 15 << 20 // bytes, for manyRows tracks
)

func TestFiveThousandTracksFitInFifteenMegabytes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(manyRows))
	fi, err := os.Stat(file)
	if err != nil {
		t.Fatal(err)
	}
	if fi.Size() > largestFile {
		t.Errorf("%d tracks take %.1f MB", manyRows, float64(fi.Size())/1e6)
	}
}

// BenchmarkReport gives the time to write a report of 5,000 tracks.
func BenchmarkReport(b *testing.B) {
	tracks := madeup.Tracks(manyRows)
	for b.Loop() {
		if err := Report(io.Discard, tracks, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBrowser opens a report of 5,000 tracks from disk in headless Chromium
// and gives the first paint and the slowest of a few searches, script and layout
// together, in milliseconds, and the size of the file.
//
//	go test ./export/page -run '^$' -bench Browser -benchtime 3x
func BenchmarkBrowser(b *testing.B) {
	file := filepath.Join(b.TempDir(), "sheet.html")
	writeReport(b, file, madeup.Tracks(manyRows))
	fi, err := os.Stat(file)
	if err != nil {
		b.Fatal(err)
	}
	ctx := browser.Tab(b)
	browser.Screen(b, ctx, 1440, 900, "light")
	var paint, filter float64
	n := 0
	for b.Loop() {
		browser.Do(b, ctx, browser.Navigate("about:blank"), browser.Navigate("file://"+file))
		browser.Until(b, ctx, `performance.getEntriesByName('first-contentful-paint').length`)
		paint += browser.Eval[float64](b, ctx, `performance.getEntriesByName('first-contentful-paint')[0].startTime`)
		browser.Until(b, ctx, `document.readyState === 'complete' && document.body.classList.contains('js')`)
		filter += browser.Eval[float64](b, ctx, filterTime)
		n++
	}
	b.ReportMetric(paint/float64(n), "ms-first-paint")
	b.ReportMetric(filter/float64(n), "ms-filter")
	b.ReportMetric(float64(fi.Size())/1e6, "MB")
}

// filterTime types a few searches and takes the slowest, until the new layout is
// there.
const filterTime = `(() => {
	const q = document.getElementById('q');
	const times = ['a', 'aunt', 'aunt velvet', 'tin roof', ''].map(text => {
		const from = performance.now();
		q.value = text;
		q.dispatchEvent(new Event('input', { bubbles: true }));
		document.body.offsetHeight;
		return performance.now() - from;
	});
	return Math.max(...times.slice(1));
})()`
