package live

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/google/go-cmp/cmp"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// choosing sets a control of the page to a value, as a user does.
func choosing(t testing.TB, ctx context.Context, id, value string) {
	t.Helper()
	browser.Eval[bool](t, ctx, fmt.Sprintf(`(e => (e.value = %q, e.dispatchEvent(new Event('input', { bubbles: true }))))(document.getElementById(%q))`, value, id))
}

func textOf(t testing.TB, ctx context.Context, selector string) string {
	t.Helper()
	return browser.Eval[string](t, ctx, fmt.Sprintf(`document.querySelector(%q)?.textContent ?? 'nothing there'`, selector))
}

// The parts of the tally are links that filter; what is shown is said where it is seen, in
// what is exported and in the print; where nothing is like that, what to do is said.
func TestFilters(t *testing.T) {
	db := spoilt(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	base := served(t, db, Options{})
	visit(t, ctx, base)
	n := browser.Eval[int](t, ctx, `parseInt(document.querySelector('#tally .hold-back a').textContent)`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#tally .hold-back a")))
	if names := browser.Eval[[]string](t, ctx, firstNames); n == 0 || len(names) != n {
		t.Errorf("the tally says %d, and shows %q", n, names)
	}
	says := fmt.Sprintf("%d of 17 tracks: hold back", n)
	if got := textOf(t, ctx, "#narrow"); got != ". "+says {
		t.Errorf("the print is headed %q", got)
	}
	if got := textOf(t, ctx, "#of"); got != says {
		t.Errorf("what is taken along is headed %q", got)
	}
	links := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.outs a[download]')].map(a => a.pathname + a.search)`)
	want := []string{"/export/sheet.html?verdict=hold-back&sort=verdict", "/export/trims.csv?verdict=hold-back&sort=verdict", "/export/tracks.csv?verdict=hold-back&sort=verdict", "/export/tracks.jsonl?verdict=hold-back&sort=verdict"}
	if d := cmp.Diff(want, links); d != "" {
		t.Errorf("exports (-want +got):\n%s", d)
	}
	if !browser.Eval[bool](t, ctx, `document.querySelector('#tally .hold-back a').getAttribute('aria-current') === 'true'`) {
		t.Error("the tally does not say which part is shown")
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#tally .hold-back a"))) // again: all
	if names := browser.Eval[[]string](t, ctx, firstNames); len(names) != 17 {
		t.Errorf("once more, and it shows %d", len(names))
	}
	choosing(t, ctx, "q", "no such thing")
	if got := textOf(t, ctx, "#none"); !browser.Eval[bool](t, ctx, `document.getElementById('none').checkVisibility()`) || !strings.Contains(got, "Show all tracks") {
		t.Errorf("no match says %q", got)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#none a")))
	if names := browser.Eval[[]string](t, ctx, firstNames); len(names) != 17 || browser.Eval[bool](t, ctx, `document.getElementById('none').checkVisibility()`) {
		t.Errorf("all are shown: %d", len(names))
	}
	for order, first := range map[string]string{"quiet": "track 0010", "loud": "track 0007", "low": "track 0005"} {
		choosing(t, ctx, "sort", order)
		if got := browser.Eval[string](t, ctx, `document.querySelector('.row cite').textContent`); !strings.Contains(got, first) {
			t.Errorf("%s first is %s", order, got)
		}
	}
}

// A folder shows what lies in it, and no other whose name begins alike.
func TestFolders(t *testing.T) {
	db := crate(t, 12)
	alter(t, db, `UPDATE tracks SET path = 'Dubs/' || path WHERE id < 4`)
	alter(t, db, `UPDATE tracks SET path = 'Dubs 2/x.wav' WHERE id = 5`)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 768, "light")
	base := served(t, db, Options{})
	visit(t, ctx, base)
	want := []string{"", "Crate 00", "Dubs", "Dubs 2", "Dubs/Crate 00"}
	if d := cmp.Diff(want, browser.Eval[[]string](t, ctx, `[...document.getElementById('folders').options].map(o => o.value)`)); d != "" {
		t.Errorf("folders (-want +got):\n%s", d)
	}
	choosing(t, ctx, "folders", "Dubs")
	if got := textOf(t, ctx, "#of"); got != "3 of 12 tracks: in Dubs" {
		t.Errorf("in the folder there are %q", got)
	}
	for _, id := range []int64{1, 2, 3} { // a folder that is no longer there frees the filter
		if err := deleteTrack(db.Path(), id); err != nil {
			t.Fatal(err)
		}
	}
	browser.Eval[bool](t, ctx, refreshed)
	if got := textOf(t, ctx, "#of"); got != "9 of 9 tracks" {
		t.Errorf("the folder is gone, and it shows %q", got)
	}
}

// Several tracks are chosen, with the shift key all between two, and marked at once.
func TestSeveralAreMarkedAtOnce(t *testing.T) {
	db := spoilt(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 768, "light")
	visit(t, ctx, served(t, db, Options{}))
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row .choose")))
	browser.Eval[bool](t, ctx, `document.querySelectorAll('.row .choose')[2].dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, shiftKey: true }))`)
	if got := textOf(t, ctx, "#picked"); got != "3 tracks chosen" {
		t.Errorf("it says %q", got)
	}
	ids := browser.Eval[[]int64](t, ctx, `[...document.querySelectorAll('.choose:checked')].map(b => Number(b.value))`)
	choosing(t, ctx, "verdict", "ready")
	if got := textOf(t, ctx, "#picked"); got != "3 tracks chosen, 3 of them not shown" {
		t.Errorf("with others shown it says %q", got)
	}
	shown := browser.Eval[int](t, ctx, `[...document.querySelectorAll('.row')].filter(r => !r.hidden).length`)
	pressed := func(id string) string {
		browser.Eval[bool](t, ctx, fmt.Sprintf(`(document.getElementById(%q).click(), true)`, id))
		return browser.Eval[string](t, ctx, `document.querySelector('#picked').textContent`)
	}
	if got, want := pressed("pick-all"), fmt.Sprintf("%d tracks chosen, 3 of them not shown", 3+shown); got != want || shown == 0 {
		t.Errorf("with all that are shown chosen it says %q, want %q", got, want)
	}
	if got := pressed("pick-none"); got != "0 tracks chosen" {
		t.Errorf("with none it says %q", got)
	}
	choosing(t, ctx, "verdict", "")
	for _, box := range []string{"[2].click()", "[0].dispatchEvent(new MouseEvent('click', { bubbles: true, cancelable: true, shiftKey: true }))"} { // from below
		browser.Eval[bool](t, ctx, `(document.querySelectorAll('.row .choose')`+box+`, true)`)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#many [value=ignore]")))
	browser.Until(t, ctx, `document.querySelector('#undo form')`)
	if got := textOf(t, ctx, "#undo span"); !strings.HasPrefix(got, "3 tracks: ignored.") {
		t.Errorf("it says %q", got)
	}
	if browser.Eval[bool](t, ctx, `document.getElementById('many').checkVisibility() || !!document.querySelector('.choose:checked')`) {
		t.Error("they are still chosen")
	}
	tracks, err := db.Tracks(t.Context(), library.TrackOptions{IncludeIgnored: true})
	if err != nil {
		t.Fatal(err)
	}
	for i := range tracks {
		if want := contains(ids, tracks[i].ID); tracks[i].Marks.Ignore != want {
			t.Errorf("track %d: ignored %v, want %v", tracks[i].ID, tracks[i].Marks.Ignore, want)
		}
	}
}

func contains(ids []int64, id int64) bool {
	for _, x := range ids {
		if x == id {
			return true
		}
	}
	return false
}

// A mark that cannot be set is said beside the button that was pressed.
func TestAFailedMarkIsSaidWhereTheEyeIs(t *testing.T) {
	db := spoilt(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 768, "light")
	visit(t, ctx, served(t, db, Options{}))
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	browser.Eval[bool](t, ctx, `(document.querySelector('.row.open .marks [name=id]').value = '987654', true)`)
	browser.Eval[bool](t, ctx, `(window.complaint = console.error, console.error = () => {}, true)`)
	browser.Eval[bool](t, ctx, `(window.fetch = (f => (u, o) => o?.method === 'POST' ? (window.pressed = document.querySelector('.marks [value=ignore]').getAttribute('aria-pressed')) && Promise.resolve(new Response('no such track in the library', { status: 404 })) : f(u, o))(window.fetch), true)`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row.open .marks [value=ignore]")))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks .failed')`)
	if got := textOf(t, ctx, ".marks .failed"); got != "Not done: no such track in the library" {
		t.Errorf("it says %q", got)
	}
	near := browser.Eval[bool](t, ctx, `(r => r.top > 0 && r.bottom < innerHeight)(document.querySelector('.marks .failed').getBoundingClientRect()) && document.querySelector('.failed').getAttribute('role') === 'alert'`)
	if !near {
		t.Error("it is said out of sight")
	}
	if got := browser.Eval[string](t, ctx, `pressed + ' ' + document.querySelector('.marks [value=ignore]').getAttribute('aria-pressed')`); got != "true false" {
		t.Errorf("while it is sent and after it failed the button is pressed: %s", got)
	}
}

// Escape leaves every control: a text is cleared, a menu and a track are closed, and the rest
// leads back to the list.
func TestEscapeInEveryControl(t *testing.T) {
	db := spoilt(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 768, "light")
	visit(t, ctx, served(t, db, Options{}))
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS(".skip")), chromedp.KeyEvent(kb.Enter))
	if !browser.Eval[bool](t, ctx, `document.activeElement === document.querySelector('.row h3 a')`) {
		t.Error("“Skip to the list” does not reach the first track")
	}
	choosing(t, ctx, "q", "track")
	browser.Do(t, ctx, chromedp.Focus(chromedp.ID("q")), chromedp.KeyEvent(kb.Escape))
	if got := browser.Eval[string](t, ctx, `document.getElementById('q').value + document.activeElement.id`); got != "q" {
		t.Errorf("Escape in the search leaves %q", got)
	}
	for _, control := range []string{"#filters > summary", "#verdict", "#status", "#folders", "#sort", ".outs > summary", ".outs a", ".keys > summary", "#single"} {
		browser.Eval[bool](t, ctx, fmt.Sprintf(`(e => (e.closest('details').open = true, e.focus(), document.activeElement === e))(document.querySelector(%q))`, control))
		browser.Do(t, ctx, chromedp.KeyEvent(kb.Escape))
		if open := browser.Eval[int](t, ctx, `document.querySelectorAll('.menu[open]').length`); open != 0 || !browser.Eval[bool](t, ctx, `document.activeElement.matches('summary')`) {
			t.Errorf("Escape on %s leaves the menu open", control)
		}
	}
	for _, control := range []string{"#q", "#print", ".outs > summary"} {
		browser.Do(t, ctx, chromedp.Focus(chromedp.CSS(control)), chromedp.KeyEvent(kb.Escape))
		if !browser.Eval[bool](t, ctx, `document.activeElement.matches('.row h3 a')`) {
			t.Errorf("Escape on %s leads nowhere", control)
		}
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	controls := browser.Eval[int](t, ctx, `document.querySelectorAll('.row.open :is(a, button, select, input:not([type=hidden]))').length`)
	for i := range controls {
		browser.Eval[bool](t, ctx, fmt.Sprintf(`(document.querySelectorAll('.row.open :is(a, button, select, input:not([type=hidden]))')[%d].focus(), true)`, i))
		browser.Do(t, ctx, chromedp.KeyEvent(kb.Escape))
		if browser.Eval[bool](t, ctx, `!!document.querySelector('.row.open') || !document.activeElement.matches('.row h3 a')`) {
			t.Fatalf("Escape in control %d of %d of a track does not close it", i, controls)
		}
		browser.Do(t, ctx, chromedp.KeyEvent(kb.Enter))
		browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	}
}
