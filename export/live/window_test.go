package live

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// windowed serves an empty database whose scans pass a gate.
func windowed(t *testing.T, g *gate, media func() ([]library.Medium, error)) (url string, db *library.DB) {
	t.Helper()
	db = openDB(t, filepath.Join(t.TempDir(), "library.db"))
	url = served(t, db, Options{Scanner: gated{ScannerOf(db), db, g}, Media: media, MediaEvery: 50 * time.Millisecond})
	t.Cleanup(func() { g.let(1 << 30) }) // before the server ends, which waits for the scan
	return url, db
}

// short are the sounds of the bag, shorter: enough to be judged, soon measured. No two are of one
// length, so that none is read to be compared before all are measured.
func short() []sound {
	s := bag()
	for i := range s {
		s[i].seconds = 4 + float64(i)/20
	}
	return s
}

const (
	rowCount = `Number(document.querySelector('#shown')?.textContent.match(/of (\d+) /)?.[1] ?? -1)` // of all, shown or not
	saidText = `document.querySelector('#scan-said').textContent`
)

// A scan that is begun in the page fills the list without a reload, while a track is open in it, a
// filter is set and something is being typed, which all stay; a second window that comes in the
// middle sees the same; stopping and going on are buttons.
func TestScanInTheBrowser(t *testing.T) {
	hasten(t)
	sounds, g := short(), newGate(6)
	sounds[0].seconds = 60 // long enough to be played throughout
	dir := t.TempDir()
	for i, s := range sounds {
		s.write(t, dir, uint64(i))
	}
	url, db := windowed(t, g, func() ([]library.Medium, error) { return nil, nil })
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, url)
	browser.Until(t, ctx, `location.pathname === '/start'`) // there is nothing yet
	browser.Do(t, ctx, chromedp.SetValue(chromedp.ID("folder"), dir), chromedp.Click(chromedp.CSS(".type button")))
	browser.Until(t, ctx, `location.pathname === '/' && document.querySelector('#scan-run') && `+rowCount+` === 6`)
	browser.Eval[bool](t, ctx, `window.same = true`) // gone after a reload
	if said := browser.Eval[string](t, ctx, saidText); said != "Scanning "+filepath.Base(dir)+": a quarter done." {
		t.Errorf("the page says %q", said)
	}
	browser.Until(t, ctx, `document.querySelector('#scan-bar').value === 6 && document.querySelector('#scan-bar').max === 13 && document.querySelector('#scan-bar').textContent === '6 of 13'`)
	if figures := browser.Eval[string](t, ctx, `document.querySelector('#scan-figures').textContent`); !strings.HasPrefix(figures, "6 of 13 tracks, ") || !strings.Contains(figures, "times realtime") {
		t.Errorf("the figures are %q", figures)
	}
	if !strings.HasSuffix(browser.Eval[string](t, ctx, `document.querySelector('#scan-track').textContent`), ".wav") {
		t.Error("the track at hand is not named")
	}

	open := fmt.Sprintf("#t%d", named(t, db, "Dubs/night bus edit.wav").ID)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(open+" h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .detail .chart')`)
	starter(t, ctx, named(t, db, "Dubs/night bus edit.wav").ID)
	clickOn(t, ctx, open+" [data-play]")
	browser.Until(t, ctx, state+` === 'playing'`)
	browser.Eval[bool](t, ctx, `(window.states = new Set(), new MutationObserver(() => window.states.add(`+state+`)).observe(document.querySelector('#dock .state'), { childList: true, characterData: true, subtree: true }), true)`)
	browser.Do(t, ctx, chromedp.SendKeys(chromedp.ID("q"), "dubs"))
	browser.Eval[bool](t, ctx, `(window.detail = document.querySelector('.row.open .detail'), window.said = document.querySelector('.row.open .w').textContent, true)`)

	second := browser.Tab(t)
	visit(t, second, url)
	browser.Until(t, second, rowCount+` === 6 && !document.querySelector('#scan-run').hidden`)
	browser.Eval[bool](t, second, `window.same = true`)

	browser.Do(t, second, chromedp.Click(chromedp.CSS("#scan-stop button")))
	g.let(7) // a track that is being read is read to its end
	for _, tab := range []context.Context{ctx, second} {
		browser.Until(t, tab, saidText+`.startsWith('Stopped. ') && document.querySelector('#scan-run').hidden && document.querySelector('#scan-go button').textContent === 'Go on'`)
	}
	if got := browser.Eval[string](t, second, `document.activeElement.textContent`); got != "Go on" {
		t.Errorf("with the button that stopped, the focus went to %q", got)
	}
	g.let(9)
	browser.Do(t, second, chromedp.Click(chromedp.CSS("#scan-go button")))
	browser.Until(t, second, `document.activeElement.textContent === 'Stop the scan'`)
	browser.Until(t, ctx, rowCount+` >= 9`)
	g.let(1 << 30)
	for _, tab := range []context.Context{ctx, second} {
		browser.Until(t, tab, rowCount+` === 13 && `+saidText+`.includes(' scanned in ') && document.querySelector('#scan-go button').textContent === 'Scan again'`)
		if !browser.Eval[bool](t, tab, `window.same === true`) {
			t.Error("the page was loaded again")
		}
	}
	said := browser.Eval[string](t, ctx, saidText)
	if other := browser.Eval[string](t, second, saidText); other != said || !strings.Contains(said, "unchanged") {
		t.Errorf("one window says %q, the other %q", said, other)
	}
	if !browser.Eval[bool](t, ctx, `document.querySelector('#q').value === 'dubs' && document.activeElement.id === 'q'`) {
		t.Error("what was typed, or where, is lost")
	}
	if got := browser.Eval[[]string](t, ctx, firstNames); len(got) != dubs(sounds) {
		t.Errorf("with the filter %q are shown", got)
	}
	if got := browser.Eval[string](t, ctx, state+` + ' ' + [...window.states]`); got != "playing " {
		t.Errorf("what played is %q", got)
	}
	if !browser.Eval[bool](t, ctx, `document.querySelector('.row.open .detail') === window.detail && document.querySelector('`+open+`.open .detail .chart') !== null`) {
		t.Error("the open track was closed or made anew")
	}
	// Verdicts settle: what is said of the open track is what the library says at the end.
	browser.Until(t, ctx, `document.querySelector('.row.open .w').textContent !== window.said`)
	fresh := browser.Tab(t)
	visit(t, fresh, url)
	for _, part := range []string{`document.querySelector('#tally').textContent`, `document.querySelector('` + open + ` .w').textContent`, `document.querySelector('` + open + ` .v').textContent`} {
		if was, is := browser.Eval[string](t, ctx, part), browser.Eval[string](t, fresh, part); was != is {
			t.Errorf("%s is %q, and %q on a fresh page", part, was, is)
		}
	}
	// One track that was saved anew is measured again, by the form that listening sends.
	night := named(t, db, "Dubs/night bus edit.wav")
	sound{path: night.Path, rate: 44100, gain: -9, seconds: 4}.write(t, dir, 77)
	browser.Eval[bool](t, ctx, fmt.Sprintf(`fetch('/scan', {method: 'POST', body: new URLSearchParams({track: %d}), headers: {Accept: 'text/plain'}}).then(a => a.ok)`, night.ID))
	browser.Until(t, ctx, saidText+`.endsWith(' was measured again.')`)
	if now := named(t, db, night.Path); now.Loudness.Loudest30sLUFS >= night.Loudness.Loudest30sLUFS-3 {
		t.Errorf("%v LUFS before, %v after it was turned down", night.Loudness.Loudest30sLUFS, now.Loudness.Loudest30sLUFS)
	}
}

// A stick that is pulled in the middle: the page says so, keeps what was measured, and offers to go
// on once it is back, which measures what is left. Pulled and put back later, a scan is offered and
// not begun.
func TestStickPulledInTheBrowser(t *testing.T) {
	hasten(t)
	g, s := newGate(5), newStick(t, short())
	url, db := windowed(t, g, s.media)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, url)
	browser.Until(t, ctx, `location.pathname === '/start'`)
	browser.Do(t, ctx, chromedp.SetValue(chromedp.ID("folder"), s.dir), chromedp.Click(chromedp.CSS(".type button")))
	browser.Until(t, ctx, `location.pathname === '/' && `+rowCount+` === 5`)
	browser.Eval[bool](t, ctx, `window.same = true`)
	s.pull()
	g.let(1 << 30)
	browser.Until(t, ctx, saidText+`.startsWith('GIG no longer answers: it was pulled out, or its disk fails. 5 of 13 tracks done, which is kept.')`)
	browser.Until(t, ctx, `document.querySelector('#scan-go').hidden && document.querySelector('#scan-run').hidden`)
	if n := browser.Eval[int](t, ctx, rowCount); n != 5 {
		t.Errorf("%d rows are left of 5", n)
	}
	if n := browser.Eval[int](t, ctx, `document.querySelectorAll('#scan-notes li').length`); n != 0 {
		t.Errorf("it is said %d times more", n)
	}
	if status, said := post(serverAt(t, url), "/scan", map[string][]string{"dir": {s.dir}}); status != 400 || !strings.Contains(said, "plug") {
		t.Errorf("scanning it: %d %q", status, said)
	}
	s.plug()
	browser.Until(t, ctx, `!document.querySelector('#scan-go').hidden && document.querySelector('#scan-go button').textContent === 'Go on'`)
	if n := browser.Eval[int](t, ctx, rowCount); n != 5 {
		t.Errorf("a scan was begun by itself: %d rows", n)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#scan-go button")))
	browser.Until(t, ctx, rowCount+` === 13 && `+saidText+`.includes('8 measured, 5 unchanged')`)

	s.pull()
	browser.Until(t, ctx, `document.querySelector('#scan-notes').textContent.includes('GIG is not plugged in any more. Its tracks stay in the list.')`)
	s.plug()
	browser.Until(t, ctx, `document.querySelector('#scan-notes').textContent.includes('GIG is plugged in again.') && document.querySelectorAll('#scan-notes li').length === 1`)
	if !strings.Contains(browser.Eval[string](t, ctx, saidText), "8 measured, 5 unchanged") {
		t.Error("a scan was begun by itself")
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("#scan-notes button")))
	browser.Until(t, ctx, saidText+`.endsWith(': 13 unchanged.') && !document.querySelector('#scan-notes li')`)
	if !browser.Eval[bool](t, ctx, `window.same === true`) {
		t.Error("the page was loaded again")
	}
	for _, x := range trackList(t, db) {
		if x.Missing() {
			t.Errorf("%s is taken for deleted", x.Path)
		}
	}
}

func trackList(t *testing.T, db *library.DB) []library.Track {
	t.Helper()
	all, err := db.Tracks(t.Context(), library.TrackOptions{IncludeMissing: true})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// What a scan in a terminal changes shows up by itself, also in a list that was empty; a window
// that nobody sees holds no connection.
func TestScanElsewhereInTheBrowser(t *testing.T) {
	hasten(t)
	g := newGate(0)
	url, db := windowed(t, g, func() ([]library.Medium, error) { return nil, nil })
	empty := t.TempDir()
	if err := serverAt(t, url).Scan([]string{empty}); err != nil {
		t.Fatal(err)
	}
	ctx := browser.Tab(t)
	visit(t, ctx, url)
	browser.Until(t, ctx, saidText+`.startsWith('No track was found') && `+rowCount+` === 0`)
	browser.Eval[bool](t, ctx, `window.same = true`)
	other := openDB(t, db.Path())
	if r, err := library.ImportRecords(t.Context(), other, empty, strings.NewReader(`{"path":"a.wav"}`+"\n"+`{"path":"b.wav"}`+"\n")); err != nil || r.Total != 2 {
		t.Fatal(err)
	}
	browser.Until(t, ctx, rowCount+` === 2 && window.same`)
	listeners := func() int {
		n := &serverAt(t, url).news
		n.mu.Lock()
		defer n.mu.Unlock()
		return n.listeners
	}
	come := func(n int) bool { // a page that was left hangs up when the browser likes
		for range 100 {
			if listeners() == n {
				return true
			}
			time.Sleep(50 * time.Millisecond)
		}
		return false
	}
	if !come(1) {
		t.Errorf("%d windows listen", listeners())
	}
	// A scan of another process shows life.
	alter(t, db, fmt.Sprintf(`INSERT INTO sessions (host, pid, beat) VALUES ('another host', 1, %d)`, time.Now().UnixNano()))
	browser.Until(t, ctx, `document.querySelector('#scan-notes').textContent === 'Another program scans the library. What it measures shows here.'`)
	alter(t, db, `DELETE FROM sessions`)
	browser.Until(t, ctx, `document.querySelector('#scan-notes').textContent === ''`)
	browser.Eval[bool](t, ctx, `(Object.defineProperty(document, 'visibilityState', {value: 'hidden', configurable: true}), document.dispatchEvent(new Event('visibilitychange')))`)
	if !come(0) {
		t.Error("a window that nobody sees listens")
	}
	if _, err := library.ImportRecords(t.Context(), other, empty, strings.NewReader(`{"path":"c.wav"}`+"\n")); err != nil {
		t.Fatal(err)
	}
	browser.Eval[bool](t, ctx, `(Object.defineProperty(document, 'visibilityState', {value: 'visible', configurable: true}), document.dispatchEvent(new Event('visibilitychange')))`)
	browser.Until(t, ctx, rowCount+` === 3`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("[action='/quit'] button")))
	browser.Until(t, ctx, `document.querySelector('h1')?.textContent === 'dubgauge has ended.' && getComputedStyle(document.body).maxWidth !== 'none'`)
}

// While nothing runs, the window takes so little room that the first screen shows what it shows
// without it: the worst three tracks.
func TestTheWindowLeavesTheFirstScreen(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{Scanner: ScannerOf(db), Media: func() ([]library.Medium, error) { return nil, nil }})
	ctx := browser.Tab(t)
	visit(t, ctx, url)
	for _, size := range [][2]int64{{1440, 900}, {1024, 768}, {390, 844}} {
		browser.Screen(t, ctx, size[0], size[1], "light")
		browser.Do(t, ctx, browser.Navigate(url))
		browser.Until(t, ctx, `document.querySelector('.row h3 a') && document.body.classList.contains('js')`)
		if end := browser.Eval[float64](t, ctx, `document.querySelectorAll('#list > .row')[2].getBoundingClientRect().bottom`); end > float64(size[1]) {
			t.Errorf("%d x %d: the third track ends at %v", size[0], size[1], end)
		}
		if high := browser.Eval[float64](t, ctx, `document.querySelector('#window').offsetHeight`); high > 30 {
			t.Errorf("%d x %d: the window is %v px high", size[0], size[1], high)
		}
	}
}

// The page of folders, the scan that runs and the notes are for everybody.
func TestAccessibilityOfTheWindow(t *testing.T) {
	hasten(t)
	script := axe(t)
	db, _ := bagged(t)
	d := newDesk(withRoots{ScannerOf(db), []string{t.TempDir()}})
	fresh := t.TempDir()
	url := served(t, db, Options{Scanner: d, Music: fresh, Media: func() ([]library.Medium, error) { return nil, nil }})
	s := serverAt(t, url)
	s.watch.look(mounts("/", "/media/NEW"), nil, nil)
	if err := s.Scan([]string{fresh}); err != nil {
		t.Fatal(err)
	}
	<-d.begun
	d.tell(library.Progress{Phase: library.Measuring, Done: 12, Total: 40, Current: "Dubs/a track with a long name, remixed by somebody (first pressing, side B).wav", AudioSeconds: 850, Elapsed: 10 * time.Second, Left: time.Minute})
	ctx := browser.Tab(t)
	visit(t, ctx, url)
	for _, page := range []string{"/start", "/"} {
		for _, width := range []int64{360, 1440} {
			browser.Do(t, ctx, browser.Navigate("about:blank"), browser.Navigate(url+page))
			browser.Until(t, ctx, `document.querySelector('#scan-figures')`)
			browser.Eval[bool](t, ctx, script+";true")
			for scheme, run := range map[string]string{"light": axeRun, "dark": axeColours} {
				browser.Screen(t, ctx, width, 900, scheme)
				if out := os.Getenv("DUBGAUGE_WINDOWS"); out != "" { // to look at
					if err := os.WriteFile(filepath.Join(out, fmt.Sprintf("window%s-%s-%d.png", strings.ReplaceAll(page, "/", "-"), scheme, width)), browser.Picture(t, ctx), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				var found []violation
				if err := json.Unmarshal([]byte(browser.Eval[string](t, ctx, run)), &found); err != nil {
					t.Fatal(err)
				}
				for _, v := range found {
					t.Errorf("%s, %s, %d px: %s (%s): %d places, such as %+v", page, scheme, width, v.Help, v.Impact, len(v.Nodes), v.Nodes[0])
				}
				if over := browser.Eval[int](t, ctx, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
					t.Errorf("%s at %d px is %d px too wide", page, width, over)
				}
			}
		}
	}
}
