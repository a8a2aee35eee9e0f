package live

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"dubgauge/export/browser"
)

// starter puts a button that plays a track onto its row.
func starter(t *testing.T, ctx context.Context, id int64) {
	t.Helper()
	browser.Eval[bool](t, ctx, fmt.Sprintf(`(() => {
		if (document.querySelector('[data-play="%[1]d"]')) return true;
		const b = Object.assign(document.createElement('button'), { textContent: 'Play', type: 'button' });
		b.dataset.play = '%[1]d';
		document.querySelector('#t%[1]d').append(b);
		return true;
	})()`, id))
}

func clickOn(t *testing.T, ctx context.Context, selector string) {
	t.Helper()
	browser.Eval[bool](t, ctx, fmt.Sprintf(`document.querySelector(%q).click() ?? true`, selector))
}

// state is what the dock says.
const state = `document.querySelector('#dock .state').textContent`

func sidePressed(side int) string {
	return fmt.Sprintf(`document.querySelector('#dock [data-side="%d"]').getAttribute('aria-pressed') === 'true'`, side)
}

// set chooses a value of a control of the dock as a user does.
func set(t *testing.T, ctx context.Context, control, value string) {
	t.Helper()
	browser.Eval[bool](t, ctx, fmt.Sprintf(`(() => {
		const c = document.querySelector('#dock .%[1]s');
		if (c.type === 'checkbox') c.checked = %[2]q === 'true'; else c.value = %[2]q;
		return c.dispatchEvent(new Event('input', { bubbles: true }));
	})()`, control, value))
}

// playing opens the list of the bag, and plays its quietest track.
func playing(t *testing.T) (context.Context, int64) {
	t.Helper()
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, served(t, db, Options{}))
	id := named(t, db, "Dubs/night bus edit.wav").ID
	starter(t, ctx, id)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, id))
	browser.Until(t, ctx, state+` === 'playing'`)
	return ctx, id
}

// The worst track beside its reference: one click and one key.
func TestOneClickAndOneKey(t *testing.T) {
	ctx, id := playing(t)
	if v := browser.Eval[string](t, ctx, `document.querySelector('#dock .vol').value`); v != "-30" {
		t.Errorf("the start level is %s dB", v)
	}
	if n := browser.Eval[int](t, ctx, `document.querySelectorAll('#dock .beside option').length`); n != 8 {
		t.Errorf("%d references are offered, want 8", n)
	}
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(1)+` && `+state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(0))
	if !browser.Eval[bool](t, ctx, fmt.Sprintf(`document.querySelector('[data-play="%d"]').getAttribute('aria-pressed') === 'true'`, id)) {
		t.Error("the button does not say that its track plays")
	}
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, id))
	browser.Until(t, ctx, state+` === 'paused' && document.querySelector('#dock .go').textContent === 'Play'`)
	clickOn(t, ctx, `#dock .go`)
	browser.Until(t, ctx, state+` === 'playing'`)
	browser.Eval[bool](t, ctx, `document.querySelector('#dock .beside').value = document.querySelectorAll('#dock .beside option')[2].value, true`)
	clickOn(t, ctx, `#dock .next`)
	browser.Until(t, ctx, `document.querySelector('#dock .beside').selectedIndex === 3 && `+state+` === 'playing'`)
}

// What is chosen outlives marks, other tracks, filters and another page; the dock is seen as
// long as there is sound.
func TestTheDockOutlivesTheRest(t *testing.T) {
	ctx, id := playing(t)
	second := browser.Eval[string](t, ctx, `document.querySelectorAll('#dock .beside option')[1].value`)
	set(t, ctx, "beside", second)
	set(t, ctx, "vol", "-20")
	set(t, ctx, "match", "raw")
	set(t, ctx, "image", "mono")
	seen := func(when string) {
		t.Helper()
		if !browser.Eval[bool](t, ctx, `(() => { const r = document.querySelector('#dock').getBoundingClientRect(); return r.height > 40 && r.bottom <= innerHeight + 1 && `+state+` === 'playing'; })()`) {
			t.Errorf("%s: it plays unseen, or no more", when)
		}
		want := second + " -20 raw mono"
		if got := browser.Eval[string](t, ctx, `['beside', 'vol', 'match', 'image'].map(c => document.querySelector('#dock .' + c).value).join(' ')`); got != want {
			t.Errorf("%s: %q is chosen, want %q", when, got, want)
		}
	}
	row := fmt.Sprintf("#t%d", id)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(row+" h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(row+" .marks [value=released]")))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('%s .i b').textContent === 'released'`, row))
	seen("after a mark")
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS(row+" h3 a")), chromedp.KeyEvent(kb.Escape))
	browser.Until(t, ctx, `!document.querySelector('.row.open')`)
	seen("after Escape")
	browser.Eval[bool](t, ctx, `(document.querySelector('#q').value = 'copper', document.querySelector('#q').dispatchEvent(new Event('input', { bubbles: true })))`)
	browser.Until(t, ctx, fmt.Sprintf(`!document.querySelector('%s')?.checkVisibility()`, row))
	seen("while its row is filtered out")

	other := browser.Eval[int64](t, ctx, `Number([...document.querySelectorAll('.row')].find(r => !r.hidden).id.slice(1))`)
	starter(t, ctx, other)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, other))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('#dock .who').getAttribute('href') === '/track/%d' && %s === 'playing'`, other, state))
	seen("with another track")
	browser.Eval[bool](t, ctx, `(document.querySelector('#q').value = '', document.querySelector('#q').dispatchEvent(new Event('input', { bubbles: true })))`)
	if got := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.row [data-play][aria-pressed=true]')].map(b => b.dataset.play)`); len(got) != 1 || got[0] != fmt.Sprint(other) {
		t.Errorf("with all rows shown again those that play are %q, want %d", got, other)
	}

	// Another page begins without sound, and remembers.
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#dock .who")))
	browser.Until(t, ctx, `location.pathname.startsWith('/track/') && document.readyState === 'complete' && document.querySelector('.listen [data-play]')`)
	if !browser.Eval[bool](t, ctx, `document.querySelector('#dock').hidden`) {
		t.Error("on another page the dock is there before anything plays")
	}
	clickOn(t, ctx, ".listen [data-play]")
	browser.Until(t, ctx, state+` === 'playing'`)
	seen("on another page")
	// A mark replaces what the page shows of the track.
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".marks [value=unreleased]")))
	browser.Until(t, ctx, `document.querySelector('.marks [value=unreleased]')?.getAttribute('aria-pressed') === 'true'`)
	seen("after a mark there")
}

// Escape in the dock ends the sound, takes the dock away and leads back to what began it.
func TestEscapeInTheDock(t *testing.T) {
	ctx, id := playing(t)
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS("#dock .go")), chromedp.KeyEvent(kb.Escape))
	if !browser.Eval[bool](t, ctx, `document.querySelector('#dock').hidden`) {
		t.Error("the dock stays")
	}
	if got := browser.Eval[string](t, ctx, `document.activeElement.dataset.play ?? ''`); got != fmt.Sprint(id) {
		t.Errorf("the focus is on %q", got)
	}
	if browser.Eval[bool](t, ctx, fmt.Sprintf(`document.querySelector('[data-play="%d"]').getAttribute('aria-pressed') === 'true'`, id)) {
		t.Error("the button says that its track plays still")
	}
}

// The line of the dock and the loudness over time of the open track play from where they are
// clicked; the keys of a slider move on.
func TestSeekOnTheTimelines(t *testing.T) {
	ctx, id := playing(t)
	at := func() float64 {
		return browser.Eval[float64](t, ctx, `Number(document.querySelector('#dock .course').getAttribute('aria-valuenow'))`)
	}
	place := browser.Eval[[]float64](t, ctx, `(() => { const r = document.querySelector('#dock .course').getBoundingClientRect(); return [r.left + r.width * 0.75, r.top + 5]; })()`)
	browser.Do(t, ctx, chromedp.MouseClickXY(place[0], place[1]))
	// The track has 8 s: three quarters of it are 6 s.
	browser.Until(t, ctx, `Number(document.querySelector('#dock .course').getAttribute('aria-valuenow')) === 6`)
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS("#dock .course")), chromedp.KeyEvent(kb.Home))
	browser.Until(t, ctx, `Number(document.querySelector('#dock .course').getAttribute('aria-valuenow')) <= 1`)
	browser.Do(t, ctx, chromedp.KeyEvent(kb.ArrowRight))
	browser.Until(t, ctx, `Number(document.querySelector('#dock .course').getAttribute('aria-valuenow')) >= 5`)
	if v := at(); v > 7 {
		t.Errorf("the arrow leads to %v s", v)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf("#t%d h3 a", id))))
	browser.Until(t, ctx, `document.querySelector('.row.open .chart.time')`)
	// Half of 8 s, on the chart: its axis goes from 34 to 354 of 360.
	place = browser.Eval[[]float64](t, ctx, `(() => { const c = document.querySelector('.row.open .chart.time'); c.scrollIntoView({ block: 'center' }); const r = c.getBoundingClientRect(); return [r.left + r.width * 194 / 360, r.top + r.height / 2]; })()`)
	browser.Do(t, ctx, chromedp.MouseClickXY(place[0], place[1]))
	browser.Until(t, ctx, `Number(document.querySelector('#dock .course').getAttribute('aria-valuenow')) === 4`)
	browser.Until(t, ctx, `document.querySelector('.row.open .chart.time .head')`)
}

// With nothing repeated a track runs to its end and stops there.
func TestRunningOn(t *testing.T) {
	ctx, _ := playing(t)
	set(t, ctx, "again", "false")
	browser.Until(t, ctx, state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(1)+` && `+state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(0)+` && `+state+` === 'playing'`)
	browser.Do(t, ctx, chromedp.Focus(chromedp.CSS("#dock .course")), chromedp.KeyEvent(kb.PageUp))
	browser.Until(t, ctx, state+` === 'at its end'`)
	clickOn(t, ctx, "#dock .go")
	browser.Until(t, ctx, state+` === 'playing'`)
}
