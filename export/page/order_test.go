package page

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"dubgauge/export/browser"
	"dubgauge/export/madeup"
	"dubgauge/export/words"
)

func TestEveryOrderIsThatOfTheCommands(t *testing.T) {
	tracks := madeup.Tracks(60)
	tracks[7].Loudness.Loudest30sLUFS = -60 // far out on any axis
	madeup.Rejudge(tracks)
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, tracks)
	ctx := browser.Tab(t)
	browser.Do(t, ctx, chromedp.Navigate("file://"+file))
	for _, key := range words.SortKeys() {
		sorted := append(tracks[:0:0], tracks...)
		words.Sort(sorted, key)
		var want []string
		for i := range sorted {
			want = append(want, fmt.Sprintf("t%d", sorted[i].ID))
		}
		browser.Do(t, ctx, chromedp.SetValue(chromedp.ID("sort"), string(key)))
		browser.Eval[bool](t, ctx, `document.getElementById('sort').dispatchEvent(new Event('input', {bubbles: true}))`)
		got := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.row')].map(r => r.id)`)
		if d := cmp.Diff(want[:20], got[:20]); d != "" {
			t.Errorf("by %s (-want +got):\n%s", key, d)
		}
	}
}
