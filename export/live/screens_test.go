package live

import (
	"bytes"
	"cmp"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// TestScreenshots makes the pictures of the README from a database that was
// scanned before, such as that of the demo library:
//
//	DUBGAUGE_SCREENS=testdata/screens DUBGAUGE_SCREENS_DB=FILE go test ./export/live -run Screenshots
//
// Both paths are relative to the folder of the module, or absolute.
func TestScreenshots(t *testing.T) {
	out, path := os.Getenv("DUBGAUGE_SCREENS"), os.Getenv("DUBGAUGE_SCREENS_DB")
	if out == "" || path == "" {
		t.Skip("DUBGAUGE_SCREENS and DUBGAUGE_SCREENS_DB do not say where to and from what")
	}
	fromModule := func(p string) string {
		if filepath.IsAbs(p) {
			return p
		}
		return filepath.Join("..", "..", p)
	}
	out = fromModule(out)
	if err := os.MkdirAll(out, 0o755); err != nil {
		t.Fatal(err)
	}
	db := openDB(t, fromModule(path))
	tracks, err := db.Tracks(t.Context(), library.TrackOptions{})
	if err != nil || len(tracks) == 0 {
		t.Fatalf("%d tracks in %s, %v", len(tracks), path, err)
	}
	base := served(t, db, Options{})
	for _, s := range []struct {
		name, scheme  string
		width, height int64
		open          bool
	}{
		{"glance-light.png", "light", 1100, 900, false},
		{"track-light.png", "light", 1100, 1150, true},
		{"track-dark.png", "dark", 1100, 1150, true},
		{"phone.png", "light", 360, 760, false},
	} {
		ctx := browser.Tab(t)
		browser.Screen(t, ctx, s.width, s.height, s.scheme)
		visit(t, ctx, base)
		if s.open {
			browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
			browser.Until(t, ctx, `document.querySelector('.row.open .chart')`)
			browser.Eval[bool](t, ctx, `(document.activeElement.blur(), document.querySelector('.row.open').scrollIntoView(), true)`)
		}
		if err := os.WriteFile(filepath.Join(out, s.name), small(t, browser.Picture(t, ctx)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// small is the picture in its 256 most frequent colours, a third of the size.
func small(t *testing.T, b []byte) []byte {
	t.Helper()
	full, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	n := map[color.NRGBA]int{}
	for y := range full.Bounds().Dy() {
		for x := range full.Bounds().Dx() {
			n[color.NRGBAModel.Convert(full.At(x, y)).(color.NRGBA)]++
		}
	}
	var colours []color.NRGBA
	for c := range n {
		colours = append(colours, c)
	}
	slices.SortFunc(colours, func(a, b color.NRGBA) int { return cmp.Compare(n[b], n[a]) })
	palette := color.Palette{}
	for _, c := range colours[:min(256, len(colours))] {
		palette = append(palette, c)
	}
	paletted := image.NewPaletted(full.Bounds(), palette)
	draw.Draw(paletted, full.Bounds(), full, image.Point{}, draw.Src)
	var out bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&out, paletted); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}
