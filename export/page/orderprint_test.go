package page

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/export/madeup"
)

// TestPrintingAnOrder: a report with a running order prints the trim sheet as without it,
// then the order on pages of its own: picture, every place in its order with its trim, the
// reasons in words; nothing is cut off at the side.
func TestPrintingAnOrder(t *testing.T) {
	const places = 30
	file := filepath.Join(t.TempDir(), "sheet.html")
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	o := NewOrder(inOrder(t, places, odd))
	if err := Report(f, madeup.Tracks(sheetRows), Options{Order: o}); err != nil {
		t.Fatal(err)
	}
	f.Close()
	ctx := browser.Tab(t)
	browser.Do(t, ctx, browser.Navigate("file://"+file))
	for size, paper := range papers {
		pages := printPages(t, ctx, paper)
		first := -1
		var all strings.Builder
		for i, p := range pages {
			if strings.Contains(p.String(), "Running order:") && first < 0 {
				first = i
			}
			if first >= 0 {
				all.WriteString(p.String())
			}
		}
		// 26 tracks are 22 rows, then 4 (print.go).
		if first != 2 {
			t.Fatalf("%s: the order begins on page %d of %d", size, first+1, len(pages))
		}
		text, at := all.String(), 0
		for i := range places {
			name := fmt.Sprintf("Dubs/%d & more.wav", i+1)
			n := strings.Index(text[at:], name)
			if n < 0 {
				t.Fatalf("%s: place %d is not printed behind the one before", size, i+1)
			}
			at += n
		}
		for _, want := range []string{"Level, LUFS:", "Low end, dB", "Tempo, BPM", "level step", "sub step", "tempo step", "key clash", "no trim changes", "+4.0 dB", "Eb major after A minor: a distant key"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is not printed", size, want)
			}
		}
		for _, unwanted := range []string{"Hear", "Choose"} {
			if strings.Contains(text, unwanted) {
				t.Errorf("%s: %q is printed", size, unwanted)
			}
		}
	}
	media := emulation.SetEmulatedMediaParams{Media: "print"}
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
		t.Fatal(err)
	}
	browser.Do(t, ctx, chromedp.EmulateViewport(720, 1000))
	if wide := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.running *')].filter(e => e.getBoundingClientRect().right > 721).map(e => e.className.baseVal ?? e.className)`); len(wide) > 0 {
		t.Errorf("%d things reach over the side: %v", len(wide), wide[:1])
	}
}
