package live

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/google/go-cmp/cmp"

	"dubgauge/detect/standout"
	"dubgauge/export/browser"
	"dubgauge/export/page"
	"dubgauge/library"
)

// counting is a library's database that counts how often it is read whole.
type counting struct {
	*library.DB
	read, judged atomic.Int32
}

func (c *counting) Tracks(ctx context.Context, o library.TrackOptions) ([]library.Track, error) {
	c.read.Add(1)
	return c.DB.Tracks(ctx, o)
}

func (c *counting) Rejudge(ctx context.Context, tracks []library.Track, marks map[int64]library.Marks, o standout.Options) ([]library.Track, error) {
	c.judged.Add(1)
	return c.DB.Rejudge(ctx, tracks, marks, o)
}

// get asks for a page as a browser does, and changesSince for what changed.
func get(s *Server, target string) string {
	path, query, _ := strings.Cut(target, "?")
	return ask(s, "GET", path, "", func(r *http.Request) { r.URL.RawQuery = query }).Body.String()
}

func changesSince(t *testing.T, s *Server, state string) (d page.Delta) {
	t.Helper()
	answer := get(s, "/changes?since="+url.QueryEscape(state))
	if err := json.Unmarshal([]byte(answer), &d); err != nil {
		t.Fatalf("%v: %.200s", err, answer)
	}
	return d
}

// The library is read once, and again only when somebody else changed it; what the page's own
// marks change is worked out from what is known.
func TestTheLibraryIsReadOnlyWhenItChanged(t *testing.T) {
	db := &counting{DB: recorded(t, "a.wav", "b.wav", "c.wav").DB}
	s := New(db, Options{})
	a, b := named(t, db, "a.wav").ID, named(t, db, "b.wav").ID
	db.read.Store(0)
	for _, target := range []string{"/", "/", fmt.Sprintf("/track/%d", a), "/?q=b", "/export/trims.csv"} {
		get(s, target)
	}
	d := changesSince(t, s, "")
	if n := db.read.Load(); n != 1 {
		t.Fatalf("read %d times", n)
	}
	post(s, "/marks", marking("ignore", b))
	post(s, "/undo", lastStep(s))
	post(s, "/marks", marking("released", a))
	if read, judged := db.read.Load(), db.judged.Load(); read != 1 || judged != 2 {
		t.Errorf("marks: read %d times, judged %d", read, judged)
	}
	now := changesSince(t, s, d.State)
	if len(now.Rows) != 1 || !strings.Contains(now.Rows[a], "released") || !strings.Contains(now.Parts["undo"], "a.wav: marked as released") {
		t.Errorf("what changed is %+v", now)
	}
	if _, err := db.SetMarks(t.Context(), []int64{b}, func(m library.Marks) library.Marks { m.Ignore = true; return m }); err != nil {
		t.Fatal(err)
	}
	now = changesSince(t, s, now.State)
	if len(now.Rows) != 1 || !strings.Contains(now.Rows[b], "Ignored") || db.read.Load() != 2 {
		t.Errorf("somebody else's mark: read %d times, %+v", db.read.Load(), now)
	}
	// A mark upon what somebody else did in between is not worked out from what was before.
	if _, err := db.SetMarks(t.Context(), []int64{b}, func(library.Marks) library.Marks { return library.Marks{} }); err != nil {
		t.Fatal(err)
	}
	post(s, "/marks", marking("ignore", a))
	if d := changesSince(t, s, now.State); !strings.Contains(d.Rows[a], "Ignored") || strings.Contains(d.Rows[b], "Ignored") {
		t.Errorf("both marks: %+v", d)
	}
}

// unseen are figures by which rows are ordered: what is less than is written is not sent again.
var unseen = regexp.MustCompile(` data-[pmlu]="[^"]*"`)

// What the server works out after marks and undo is what a server says that reads it all.
func TestMarksMakeThePageThatIsReadAnew(t *testing.T) {
	db, _ := scanned(t, bag()[:10])
	s := New(db, Options{})
	quiet := named(t, db, "Dubs/night bus edit.wav").ID
	other := named(t, db, "Records/anchor.wav").ID
	check := func(after string) {
		t.Helper()
		got, want := changesSince(t, s, ""), changesSince(t, New(db, Options{}), "")
		for _, d := range []*page.Delta{&got, &want} {
			d.State = ""
			delete(d.Parts, "undo")
			for id, html := range d.Rows {
				d.Rows[id] = unseen.ReplaceAllString(html, "")
			}
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("after %s (-read +worked out):\n%.1500s", after, d)
		}
	}
	check("nothing")
	for _, mark := range []string{"reference", "released", "ignore"} {
		post(s, "/marks", marking(mark, quiet))
		check(mark)
		post(s, "/marks", marking("ignore", other))
		first := url.Values{"step": {fmt.Sprint(s.lastMark().Step - 1)}}
		post(s, "/undo", first)
		check("undo of " + mark)
		post(s, "/undo", lastStep(s))
		check("undo of both")
	}
}

// A mark of the page is answered with what it changed.
func TestAMarkAnswersWithWhatChanged(t *testing.T) {
	db := recorded(t, "a.wav", "b.wav")
	s := New(db, Options{})
	a := named(t, db, "a.wav").ID
	form := marking("ignore", a)
	form.Set("since", changesSince(t, s, "").State)
	w := ask(s, "POST", "/marks", form.Encode(), header("Accept", "application/json"))
	var d page.Delta
	if err := json.Unmarshal(w.Body.Bytes(), &d); err != nil || w.Code != 200 || w.Header().Get("Content-Type") != "application/json" {
		t.Fatalf("%d %v %s", w.Code, err, w.Body)
	}
	if len(d.Rows) != 1 || !strings.Contains(d.Rows[a], "Ignored") || d.Parts["undo"] == "" || d.Parts["tally"] == "" {
		t.Errorf("it answers %+v", d)
	}
}

// refreshed has the page take over what changed.
const refreshed = `import('/assets/live.js').then(m => m.refresh()).then(() => true)`

// allRows waits until the page knows so many rows, laid out or not.
const allRows = `import('/assets/rows.js').then(async ({ list }) => {
	while (list.rows.length !== %d) await new Promise(done => setTimeout(done, 20));
	return true;
})`

// What changes while a page is open shows without a reload, and what is open, focused, typed
// and scrolled stays as it is.
func TestRefreshLeavesThePageAsItIs(t *testing.T) {
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 500, "light")
	visit(t, ctx, served(t, db, Options{}))
	plain, quiet := named(t, db, "Dubs/plain edit.wav").ID, named(t, db, "Dubs/night bus edit.wav").ID
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(fmt.Sprintf("#t%d h3 a", quiet))))
	browser.Until(t, ctx, `document.querySelector('.row.open .listen')`)
	other := named(t, db, "loose/nobody knows.wav").ID // chosen, and then not shown
	browser.Eval[bool](t, ctx, fmt.Sprintf(`(document.querySelector('#t%d .choose').click(), true)`, other))
	browser.Eval[bool](t, ctx, `(() => {
		const q = document.getElementById('q');
		q.value = 'edit';
		q.dispatchEvent(new Event('input', { bubbles: true }));
		const b = document.querySelector('.row.open [value=reference]');
		b.focus();
		b.scrollIntoView({ block: 'center' });
		window.kept = { open: document.querySelector('.row.open'), detail: document.querySelector('.detail'), listen: document.querySelector('.listen'), button: b, y: b.getBoundingClientRect().top, html: document.querySelector('.listen').innerHTML };
		return true;
	})()`)
	if _, err := db.SetMarks(t.Context(), []int64{plain}, func(m library.Marks) library.Marks { m.Reference = true; return m }); err != nil {
		t.Fatal(err)
	}
	before := browser.Eval[string](t, ctx, `document.querySelector('.row.open table').textContent`)
	browser.Eval[bool](t, ctx, refreshed)
	for what, holds := range map[string]string{
		"the open track":        `document.querySelector('.row.open') === kept.open`,
		"its details":           `document.querySelector('.row.open > .detail') === kept.detail`,
		"the listening":         `document.querySelector('.listen') === kept.listen && kept.listen.innerHTML === kept.html`,
		"the focus":             `document.activeElement === kept.button`,
		"the place":             `Math.abs(kept.button.getBoundingClientRect().top - kept.y) < 3`,
		"the search":            `document.getElementById('q').value === 'edit' && [...document.querySelectorAll('.row')].filter(r => !r.hidden).length === 2`,
		"the count":             `document.getElementById('shown').textContent === '2 of 13 tracks'`,
		"what is chosen":        fmt.Sprintf(`import('/assets/rows.js').then(({ list }) => list.byId.get('t%d').hidden && list.byId.get('t%[1]d').box.checked)`, other),
		"what Enter does on it": `document.querySelector('.row.open h3 a').getAttribute('aria-expanded') === 'true'`,
	} {
		if !browser.Eval[bool](t, ctx, holds) {
			t.Errorf("%s did not stay", what)
		}
	}
	if after := browser.Eval[string](t, ctx, `document.querySelector('.row.open table').textContent`); after == before || !strings.Contains(after, "1 reference") {
		t.Errorf("the open track still says %q", after)
	}
	if held := browser.Eval[string](t, ctx, `document.getElementById('held').textContent`); !strings.Contains(held, "named") {
		t.Errorf("the page still says %q", held)
	}
}

// Tracks that come and go show, and a page that came with a filter gets the rest of them.
func TestRefreshBringsTracks(t *testing.T) {
	db := crate(t, 900)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1024, 700, "light")
	visit(t, ctx, served(t, db, Options{})+"/?verdict=check")
	browser.Eval[bool](t, ctx, fmt.Sprintf(allRows, 900))
	if got := browser.Eval[string](t, ctx, `document.getElementById('shown').textContent`); strings.HasPrefix(got, "900 ") || !strings.HasSuffix(got, " of 900 tracks") {
		t.Errorf("the count says %q", got)
	}
	browser.Eval[bool](t, ctx, `(document.getElementById('verdict').value = '', document.getElementById('verdict').dispatchEvent(new Event('input', { bubbles: true })))`)
	for _, id := range []int64{5, 700} {
		if err := deleteTrack(db.Path(), id); err != nil {
			t.Fatal(err)
		}
	}
	browser.Eval[bool](t, ctx, refreshed)
	browser.Until(t, ctx, `document.getElementById('shown').textContent === '898 of 898 tracks' && !document.getElementById('t700')`)
	const ids = `import('/assets/rows.js').then(({ list }) => list.rows.map(r => r.id))`
	whole := browser.Eval[[]string](t, ctx, ids)
	browser.Eval[bool](t, ctx, `(location.href = '/', true)`)
	browser.Until(t, ctx, `location.search === '' && document.readyState === 'complete'`)
	browser.Eval[bool](t, ctx, fmt.Sprintf(allRows, 898))
	if d := cmp.Diff(browser.Eval[[]string](t, ctx, ids), whole); d != "" {
		t.Errorf("the order differs from that of a page that is read whole:\n%.500s", d)
	}

	// A row that is not laid out can be chosen, and is printed.
	last := browser.Eval[string](t, ctx, `import('/assets/rows.js').then(({ list }) => {
		if (list.rows.filter(r => r.element.isConnected).length > 400) throw new Error('all are laid out');
		list.rows.at(-1).box.checked = true;
		document.querySelector('#many [value=ignore]').click();
		return list.rows.at(-1).id;
	})`)
	browser.Until(t, ctx, `document.querySelector('#undo form')`)
	if all, err := db.Tracks(t.Context(), library.TrackOptions{IncludeIgnored: true}); err != nil || slices.IndexFunc(all, func(x library.Track) bool { return x.Marks.Ignore && fmt.Sprintf("t%d", x.ID) == last }) < 0 {
		t.Errorf("%s is not ignored (%v)", last, err)
	}
	browser.Eval[bool](t, ctx, `dispatchEvent(new Event('beforeprint'))`)
	printed := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('#list > .row')].map(r => r.id)`)
	if d := cmp.Diff(browser.Eval[[]string](t, ctx, ids), printed); d != "" || len(printed) != 898 {
		t.Errorf("%d rows are printed:\n%.500s", len(printed), d)
	}
}
