package page

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"dubgauge/detect/standout"
	"dubgauge/export/browser"
	"dubgauge/export/madeup"
	"dubgauge/export/words"
	"dubgauge/library"
)

// alikes is a library of n tracks that all have the same level and low end.
func alikes(n int) []library.Track {
	tracks := madeup.Tracks(n)
	for i := range tracks {
		tracks[i].Loudness.Loudest30sLUFS, tracks[i].LowEnd.LowDB = -7, 2
	}
	madeup.Rejudge(tracks)
	return tracks
}

// writeGlance writes the pictures of a library alone.
func writeGlance(t *testing.T, file string, tracks []library.Track) {
	t.Helper()
	p, err := newPage(tracks, Options{}, Filter{}, false)
	if err != nil {
		t.Fatal(err)
	}
	parts, err := p.writeParts()
	if err != nil {
		t.Fatal(err)
	}
	css, _, _ := Asset("page.css")
	if err := os.WriteFile(file, []byte("<!DOCTYPE html><meta charset=utf-8><style>"+string(css)+"</style>"+parts["glance"]), 0o644); err != nil {
		t.Fatal(err)
	}
}

// Dots never leave their frame, however many tracks there are and however alike: held
// against what Chromium draws.
func TestDotsStayInTheirFrame(t *testing.T) {
	far := madeup.Tracks(400)
	far[3].Loudness.Loudest30sLUFS, far[7].Loudness.Loudest30sLUFS = -60, 3
	ctx := browser.Tab(t)
	for name, tracks := range map[string][]library.Track{"one": madeup.Tracks(1), "all alike": alikes(399), "many alike": alikes(manyRows), "many": madeup.Tracks(manyRows), "far": far} {
		file := filepath.Join(t.TempDir(), "glance.html")
		writeGlance(t, file, tracks)
		browser.Do(t, ctx, browser.Navigate("file://"+file))
		out := browser.Eval[[]string](t, ctx, fmt.Sprintf(`[...document.querySelectorAll('.stage')].flatMap(stage => {
			const wrong = [];
			for (const path of stage.querySelectorAll('path:not(.axis):not(.median)')) {
				const b = path.getBBox();
				if (b.x < 0 || b.y < 0 || b.x + b.width > %d || b.y + b.height > %d) wrong.push(path.getAttribute('class') + ' ' + [b.x, b.y, b.x + b.width, b.y + b.height]);
			}
			const d = stage.dataset.dots.split(' ').map(Number);
			for (let i = 0; i < d.length; i += 3) if (d[i + 1] < 0 || d[i + 1] > %d || d[i + 2] < 0 || d[i + 2] > %d) wrong.push('dot ' + d.slice(i, i + 3));
			if (d.length !== 3 * %d) wrong.push(d.length / 3 + ' dots');
			return wrong;
		})`, plotWidth, plotFloor, plotWidth, plotFloor, len(tracks)))
		if len(out) > 0 {
			t.Errorf("%s: %d things outside, such as %s", name, len(out), out[0])
		}
	}
}

// What is filled stands out in what the picture shows: of tracks that stand out in level alone
// the dot is filled in the one picture and empty in the other.
func TestFilledIsWhatStandsOutInThis(t *testing.T) {
	tracks := madeup.Tracks(80)
	tracks[3].Reasons, tracks[8].Reasons, tracks[11].Reasons = []string{"low end thin"}, []string{"quiet", "low end heavy"}, []string{"loud"}
	for _, q := range []standout.Quantity{standout.Level, standout.LowEnd} {
		n := 0
		for i := range tracks {
			if words.StandsOut(&tracks[i], q) {
				n++
			}
		}
		p := newDotPlot(plotOf[q], these(tracks), standout.Stat{})
		filled := 0
		for _, path := range p.Paths {
			if strings.HasSuffix(path.Class, " out") {
				filled += strings.Count(path.D, "M")
			}
		}
		if filled != n || n == 0 {
			t.Errorf("%s: %d are filled, %d stand out", q, filled, n)
		}
	}
}

// Many that do not stand out are bars, as high as they are many.
func TestBars(t *testing.T) {
	height := regexp.MustCompile(`M([\d.]+) 68h[\d.]+v-([\d.]+)h`)
	p := newDotPlot(plotOf[standout.Level], these(madeup.Tracks(manyRows)), standout.Stat{})
	i := slices.IndexFunc(p.Paths, func(d dotPath) bool { return d.Class == bars })
	if i < 0 || !p.Many {
		t.Fatal("there are no bars")
	}
	highest, at := 0.0, 0.0
	for _, m := range height.FindAllStringSubmatch(p.Paths[i].D, -1) {
		x, _ := strconv.ParseFloat(m[1], 64)
		if h, _ := strconv.ParseFloat(m[2], 64); h > highest {
			highest, at = h, x
		}
	}
	if middle := p.x(-7); at < middle-15 || at > middle+15 || highest < 40 { // the tracks are made about -7 LUFS
		t.Errorf("the highest bar is %.1f, at %.0f, and the middle at %.0f", highest, at, middle)
	}
	if few := newDotPlot(plotOf[standout.Level], these(madeup.Tracks(manyDots)), standout.Stat{}); few.Many {
		t.Error("few are bars")
	}
}

// The charts of an open track: no text is larger than the body's, none is struck through by a
// line of the data, each has a legend, and one colour means one thing in all of them.
func TestChartsAreReadable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(60))
	for _, width := range []int64{360, 1440} {
		ctx := browser.Tab(t)
		browser.Screen(t, ctx, width, 1000, "light")
		browser.Do(t, ctx, browser.Navigate("file://"+file), chromedp.Click(chromedp.CSS(".row h3 a")))
		browser.Until(t, ctx, `document.querySelector('.row.open .chart')`)
		wrong := browser.Eval[[]string](t, ctx, `(() => {
			const wrong = [], body = parseFloat(getComputedStyle(document.body).fontSize);
			for (const text of document.querySelectorAll('.stage text, .chart text, .strip text')) {
				const scale = text.getScreenCTM()?.a ?? 1, size = parseFloat(getComputedStyle(text).fontSize) * scale;
				if (size > body + .01) wrong.push(text.textContent + ' is ' + size + ' px');
			}
			for (const svg of document.querySelectorAll('.row.open .chart[role=img]')) {
				const line = svg.querySelector(':scope > .line'), texts = [...svg.querySelectorAll(':scope > text')];
				for (const use of svg.querySelectorAll(':scope > use')) texts.push(...document.querySelectorAll(use.getAttribute('href') + ' > text'));
				for (let at = 0, l = line.getTotalLength(); at < l; at += 1) {
					const p = line.getPointAtLength(at);
					for (const t of texts) {
						const b = t.getBBox();
						if (p.x > b.x && p.x < b.x + b.width && p.y > b.y && p.y < b.y + b.height) return [t.textContent + ' is struck through'];
					}
				}
			}
			const colour = (s, what) => { const e = document.querySelector(s); return e ? getComputedStyle(e)[what] : 'none'; };
			const same = (what, ...pairs) => { if (new Set(pairs).size !== 1) wrong.push(what + ' is ' + pairs); };
			same('the range of references', colour('.stage .band', 'fill'), colour('.symbols [id^=b] .band', 'fill'), colour('.row.open td.strip .band', 'fill'));
			same('their median', colour('.stage .median', 'stroke'), colour('.symbols [id^=b] .median', 'stroke'), colour('.row.open td.strip .median', 'stroke'), colour('.row.open .chart[role=img] > .median', 'stroke'));
			same('the track', colour('.row.open .chart[role=img] > .line', 'stroke'), colour('.row.open tr:not(.out) .strip circle', 'fill'));
			same('what stands out', colour('.stage .out', 'fill'), colour('.row.open .out .strip :is(circle, .beyond)', 'fill'), colour('.row.open .o .out', 'color'));
			if (colour('.chart[role=img] .loudest', 'fill') === colour('.stage .band', 'fill')) wrong.push('the loudest part looks like the references');
			if (!document.querySelector('.glance .legend li')) wrong.push('the pictures have no legend');
			if (!document.querySelector('.row.open table + .legend li')) wrong.push('the strips have no legend');
			if (!document.querySelector('#lt text') || !document.querySelector('#lb text')) wrong.push('the charts have no legend');
			return wrong;
		})()`)
		for _, w := range wrong {
			t.Errorf("%d px: %s", width, w)
		}
	}
}

// In the details the figure from which the verdict comes strikes the eye: it alone is set off.
func TestTheFigureOfTheVerdict(t *testing.T) {
	tracks := madeup.Tracks(80)
	seen := 0
	for i := range tracks {
		x := &tracks[i]
		for _, f := range figures(x) {
			want := strings.HasPrefix(f.Name, "Level") && words.StandsOut(x, standout.Level) || strings.HasPrefix(f.Name, "Low end") && words.StandsOut(x, standout.LowEnd) ||
				strings.HasPrefix(f.Name, "Sub") && words.StandsOut(x, standout.Sub) || strings.HasPrefix(f.Name, "Mono") && words.StandsOut(x, standout.Mono)
			if f.Out != want {
				t.Errorf("%v: %s is set off: %v", x.Reasons, f.Name, f.Out)
			}
			if want {
				seen++
			}
		}
	}
	if seen == 0 {
		t.Fatal("nothing stands out")
	}
}

// The shapes: a circle, a diamond wider by the gap and a square narrower, which look equally
// large; each about its middle.
func TestShapesOfDots(t *testing.T) {
	for status, want := range map[library.Status]string{
		library.Released: "M50 30a10 10 0 1 1 0 .01z", library.Unreleased: "M50 28.5l11.5 11.5-11.5 11.5-11.5-11.5z", library.Unknown: "M41.5 31.5h17v17h-17z",
	} {
		var b strings.Builder
		if dot(&b, status, 50, 40, 10); b.String() != want {
			t.Errorf("%s is %s, want %s", status, b.String(), want)
		}
	}
}
