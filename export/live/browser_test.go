package live

import (
	"fmt"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/google/go-cmp/cmp"

	"dubgauge/export/browser"
	"dubgauge/export/madeup"
	"dubgauge/export/words"
)

// firstNames are the names of the rows that are shown, in their order.
const firstNames = `[...document.querySelectorAll('.row')].filter(r => !r.hidden).map(r => r.querySelector('h3 a').textContent)`

func TestFindTheWorstTrackAndReadWhy(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, url)
	names := browser.Eval[[]string](t, ctx, firstNames)
	if len(names) != len(bag()) || names[0] != "night bus edit.wav" && names[0] != "tin roof dubplate.wav" {
		t.Fatalf("worst first: %q", names)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .detail .chart')`)
	why := browser.Eval[string](t, ctx, `document.querySelector('.row.open .w').textContent`)
	if !strings.Contains(why, "released track") || !strings.Contains(why, "median") {
		t.Errorf("the reason reads %q", why)
	}
	if n := browser.Eval[int](t, ctx, `[...document.querySelectorAll('.row.open .chart use')].filter(u => !document.querySelector(u.getAttribute('href'))).length`); n != 0 {
		t.Errorf("%d parts of the charts refer to nothing", n)
	}
	if !browser.Eval[bool](t, ctx, `!!document.querySelector('.row.open .chart use[href^="#b"]')`) {
		t.Error("the group's band is not drawn")
	}
	whole := browser.Eval[string](t, ctx, `document.querySelector('.row.open').textContent`)
	for _, want := range []string{"Hold back", "Third-octave", "range of its references", "Loudest 30 s:", "Tempo", "Key", "Unreleased", "the word", "Decide yourself", "Listen"} {
		// The charts' titles come from a shared picture, so they are looked for by label.
		if !strings.Contains(whole, want) && !browser.Eval[bool](t, ctx, fmt.Sprintf(`!!document.querySelector('.row.open [aria-label*=%q]')`, want)) {
			t.Errorf("the open track does not show %q", want)
		}
	}
}

func TestFilterSortAndKeyboard(t *testing.T) {
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, served(t, db, Options{}))

	browser.Sign(t, ctx, "/")
	if !browser.Eval[bool](t, ctx, `document.activeElement.id === 'q'`) {
		t.Fatal("/ does not lead to the search")
	}
	browser.Do(t, ctx, chromedp.KeyEvent("edit"))
	if got := browser.Eval[[]string](t, ctx, firstNames); len(got) != 2 {
		t.Errorf("searching for %q shows %q", browser.Eval[string](t, ctx, `document.querySelector('#q').value`), got)
	}
	if got := browser.Eval[string](t, ctx, `document.querySelector('#shown').textContent`); got != "2 of 13 tracks" {
		t.Errorf("the count says %q", got)
	}
	browser.Do(t, ctx, chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.ArrowDown), chromedp.KeyEvent(kb.Enter))
	browser.Until(t, ctx, `document.querySelector('.row.open .detail .chart')`)
	second := browser.Eval[[]string](t, ctx, firstNames)[1]
	if got := browser.Eval[string](t, ctx, `document.querySelector('.row.open h3 a').textContent`); got != second {
		t.Errorf("down, down, Enter opens %q, want %q", got, second)
	}
	browser.Do(t, ctx, chromedp.KeyEvent(kb.Escape))
	if browser.Eval[bool](t, ctx, `!!document.querySelector('.row.open')`) {
		t.Error("Escape does not close the track")
	}
	browser.Do(t, ctx, chromedp.KeyEvent(kb.ArrowUp))
	if got := browser.Eval[string](t, ctx, `document.activeElement.textContent`); got == second {
		t.Error("the arrow up stays where it is")
	}
	browser.Sign(t, ctx, "/")
	browser.Do(t, ctx, chromedp.KeyEvent(kb.Escape))

	choose := func(id, value string) {
		browser.Do(t, ctx, chromedp.SetValue(chromedp.ID(id), value))
		browser.Eval[bool](t, ctx, fmt.Sprintf(`document.getElementById(%q).dispatchEvent(new Event('input', {bubbles: true}))`, id))
	}
	choose("status", "released")
	if got := browser.Eval[[]string](t, ctx, firstNames); len(got) != 8 {
		t.Errorf("released tracks: %q", got)
	}
	if got := browser.Eval[int](t, ctx, `[...document.querySelectorAll('.row h3 a')].filter(a => a.tabIndex === 0 && !a.closest('.row').hidden).length`); got != 1 {
		t.Errorf("Tab leads to %d of the tracks that are shown, want one", got)
	}
	choose("sort", "name")
	want := []string{"anchor.wav", "bellows.wav", "copper.wav", "drum.wav", "ember.wav", "ferry.wav", "gravel.wav", "harbour.wav"}
	if d := cmp.Diff(want, browser.Eval[[]string](t, ctx, firstNames)); d != "" {
		t.Errorf("by name (-want +got):\n%s", d)
	}
	choose("status", "")
	choose("verdict", "out")
	out := browser.Eval[[]string](t, ctx, firstNames)
	if len(out) == 0 || len(out) >= 13 || !strings.Contains(strings.Join(out, ""), "night bus") {
		t.Errorf("not ready: %q", out)
	}
	browser.Eval[bool](t, ctx, `(document.querySelector('#single').checked = false, document.activeElement.blur(), true)`)
	browser.Sign(t, ctx, "/")
	if browser.Eval[bool](t, ctx, `document.activeElement.id === 'q'`) {
		t.Error("/ leads to the search where keys without a modifier are turned off")
	}
	amiss := browser.Eval[[]string](t, ctx, `Promise.all([import('/assets/rows.js'), import('/assets/find.js')]).then(([{ list }, { sort }]) => {
		const row = list.rows[3];
		row.mismatch = row.low = row.sub = row.tempo = NaN;
		return ['quiet', 'loud', 'mismatch', 'low', 'sub', 'tempo'].filter(order => {
			document.querySelector('#sort').value = order;
			sort();
			const known = list.rows.map(r => !isNaN(r[order in r ? order : 'mismatch']));
			return known.lastIndexOf(true) > known.indexOf(false);
		});
	})`)
	if len(amiss) > 0 {
		t.Errorf("%q: a track without the figure comes before one that has it", amiss)
	}
}

func TestTheDotsNameAndOpenTracks(t *testing.T) {
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, served(t, db, Options{}))
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS("[data-plot=level] .stage")), chromedp.KeyEvent(kb.Home))
	const at = `Number(document.querySelector('[data-plot=level] .stage').getAttribute('aria-valuenow'))`
	for _, c := range []struct {
		key  string
		want int
	}{{kb.PageUp, 11}, {kb.ArrowLeft, 10}, {kb.PageDown, 1}} { // a step of ten dots, and of one
		browser.Do(t, ctx, chromedp.KeyEvent(c.key))
		if got := browser.Eval[int](t, ctx, at); got != c.want {
			t.Errorf("the dot named is number %d, want %d", got, c.want)
		}
	}
	quietest := named(t, db, "Dubs/night bus edit.wav")
	says := browser.Eval[string](t, ctx, `document.querySelector('[data-plot=level] .stage').getAttribute('aria-valuetext')`)
	if !strings.HasPrefix(says, words.Name(&quietest)) {
		t.Errorf("the leftmost dot says %q", says)
	}
	browser.Do(t, ctx, chromedp.KeyEvent(kb.Enter))
	browser.Until(t, ctx, `document.querySelector('.row.open .detail .chart')`)
	if got := browser.Eval[string](t, ctx, `document.querySelector('.row.open').id`); got != fmt.Sprintf("t%d", quietest.ID) {
		t.Errorf("Enter opens %s", got)
	}
	browser.Do(t, ctx, chromedp.KeyEvent(kb.Escape))

	// The same with the pointer, on the dot of another track.
	other := named(t, db, "loose/nobody knows.wav")
	place := browser.Eval[[]float64](t, ctx, fmt.Sprintf(`(() => {
		scrollTo(0, 0);
		const dots = document.querySelector('[data-plot=level] .stage').dataset.dots.split(' ').map(Number);
		const [x, y] = dots.slice(dots.findIndex((id, i) => i %% 3 === 0 && id === %d) + 1);
		const r = document.querySelector('[data-plot=level] .stage').getBoundingClientRect();
		return [r.left + x * r.width / 480, r.top + y * r.width / 480];
	})()`, other.ID))
	browser.Do(t, ctx, chromedp.MouseEvent("mouseMoved", place[0], place[1]))
	if got := browser.Eval[string](t, ctx, `document.querySelector('[data-plot=level] .tip').textContent`); !strings.HasPrefix(got, words.Name(&other)) {
		t.Errorf("hovering names %q", got)
	}
	browser.Do(t, ctx, chromedp.MouseClickXY(place[0], place[1]))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('#t%d.open .detail .chart')`, other.ID))
}

func TestMarksChangeVerdictsStayAndAreUndone(t *testing.T) {
	db, path := bagged(t)
	url, stop := serving(t, db, Options{})
	defer stop()
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, url)
	quiet := named(t, db, "Dubs/night bus edit.wav")
	link, row := fmt.Sprintf("#t%d h3 a", quiet.ID), fmt.Sprintf("#t%d", quiet.ID)
	press := func(mark string) {
		t.Helper()
		browser.Do(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf("%s .marks [value=%s]", row, mark))))
	}
	before := browser.Eval[string](t, ctx, `document.querySelector('#tally').textContent`)
	browser.Eval[bool](t, ctx, `window.same = true`) // gone after a reload

	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(link)))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	press("reference")
	browser.Until(t, ctx, `document.activeElement.matches('.ask [data-sure]')`)
	if asks := browser.Eval[string](t, ctx, `document.querySelector('.row.open .marks .ask').textContent`); !regexp.MustCompile(`^This one reference would lead: \d+ other verdicts change, of 13 tracks`).MatchString(asks) {
		t.Errorf("a mark with heavy consequences asks %q", asks)
	}
	if named(t, db, "Dubs/night bus edit.wav").Marks.Reference {
		t.Error("it is marked before it is asked")
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(row+" .ask [type=button]")))
	browser.Until(t, ctx, `!document.querySelector('.ask') && document.activeElement.value === 'reference'`)
	press("reference")
	browser.Until(t, ctx, `document.querySelector('.ask')`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(row+" .ask [data-sure]")))
	browser.Until(t, ctx, `document.querySelector('#undo form')`)
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('%s.open [value=no-reference][aria-pressed=true]')`, row))
	if after := browser.Eval[string](t, ctx, `document.querySelector('#tally').textContent`); after == before {
		t.Errorf("with the quietest track as the only reference the verdicts stay %q", after)
	}
	if said := browser.Eval[string](t, ctx, `document.querySelector('#undo').textContent`); !strings.Contains(said, "named as a reference") || !strings.Contains(said, "changed") {
		t.Errorf("the page says %q", said)
	}
	if !named(t, db, "Dubs/night bus edit.wav").Marks.Reference {
		t.Error("the mark is not in the database")
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#undo button")))
	browser.Until(t, ctx, `!document.querySelector('#undo form')`)
	if after := browser.Eval[string](t, ctx, `document.querySelector('#tally').textContent`); after != before {
		t.Errorf("after undo: %q, before: %q", after, before)
	}
	if m := named(t, db, "Dubs/night bus edit.wav").Marks; m.Reference {
		t.Errorf("the database has %+v after undo", m)
	}

	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	press("released")
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('%s .i b').textContent === 'released'`, row))
	if !browser.Eval[bool](t, ctx, `window.same === true`) {
		t.Error("the page was loaded again")
	}

	// It stays after a restart: another server on the database opened anew.
	stop()
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	again := served(t, openDB(t, path), Options{})
	visit(t, ctx, again)
	if got := browser.Eval[string](t, ctx, fmt.Sprintf(`document.querySelector('%s .i b').textContent`, row)); got != "released" {
		t.Errorf("after a restart the status is %q", got)
	}
}

func TestWithoutJavaScriptEverythingIsThere(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	ctx := browser.Tab(t)
	visit(t, ctx, url)
	browser.Screen(t, ctx, 360, 800, "light")
	if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	browser.Do(t, ctx, chromedp.Navigate(url))
	text, err := chromedp.Run(ctx, chromedp.TextContent(chromedp.CSS("body")))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range bag() {
		if !strings.Contains(text, filepath.Base(s.path)) {
			t.Errorf("%s is not listed", s.path)
		}
	}
	quiet := named(t, db, "Dubs/night bus edit.wav")
	browser.Do(t, ctx, chromedp.Navigate(fmt.Sprintf("%s/track/%d", url, quiet.ID)))
	if text, err = chromedp.Run(ctx, chromedp.TextContent(chromedp.CSS("main"))); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(text, "quieter than") || !strings.Contains(text, "Low end, 20 to 150 Hz") {
		t.Errorf("the track's page reads %q", text)
	}
	// A mark by form alone leads back to the track.
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".marks [value=ignore]")), chromedp.WaitVisible(chromedp.CSS("#undo form")))
	if !named(t, db, "Dubs/night bus edit.wav").Marks.Ignore {
		t.Error("the mark is not in the database")
	}

	file := filepath.Join(t.TempDir(), "sheet.html")
	writeReport(t, file, madeup.Tracks(12))
	browser.Do(t, ctx, chromedp.Navigate("file://"+file))
	if text, err = chromedp.Run(ctx, chromedp.TextContent(chromedp.CSS("#list"))); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(text, "Low end, 20 to 150 Hz"); n != 12 {
		t.Errorf("the report shows the figures of %d tracks of 12", n)
	}
}
