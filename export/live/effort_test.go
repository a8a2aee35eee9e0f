package live

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
)

// What must I fix: no click. Print my sheet: one.
func TestEffort(t *testing.T) {
	db := spoilt(t)
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1440, 900, "light")
	visit(t, ctx, served(t, db, Options{}))
	first := browser.Eval[string](t, ctx, `(e => e.getBoundingClientRect().bottom < innerHeight ? e.innerText : 'below the first screen')(document.querySelector('.row'))`)
	if !regexp.MustCompile(`(?s)(Unreadable|Hold back): \w+.*trim`).MatchString(first) {
		t.Errorf("with no click the worst track says %q", first)
	}
	browser.Eval[bool](t, ctx, `(window.print = () => { window.printed = true; }, true)`)
	browser.Do(t, ctx, chromedp.Click(chromedp.ID("print")))
	if !browser.Eval[bool](t, ctx, `window.printed === true`) {
		t.Error("one click does not print the sheet")
	}
}

// A track's page leads to the tracks before and behind it, in the list that it was come from.
func TestPreviousAndNext(t *testing.T) {
	db := spoilt(t)
	s := New(db, Options{})
	d := changesSince(t, s, "")
	link := regexp.MustCompile(`<a rel="(prev|next)" href="(/track/\d+[^"]*)"`)
	for i, id := range d.Order {
		html := get(s, fmt.Sprintf("/track/%d", id))
		got := map[string]string{}
		for _, m := range link.FindAllStringSubmatch(html, -1) {
			got[m[1]] = m[2]
		}
		want := map[string]string{}
		if i > 0 {
			want["prev"] = fmt.Sprintf("/track/%d", d.Order[i-1])
		}
		if i+1 < len(d.Order) {
			want["next"] = fmt.Sprintf("/track/%d", d.Order[i+1])
		}
		if len(got) != len(want) || got["prev"] != want["prev"] || got["next"] != want["next"] || !strings.Contains(html, fmt.Sprintf("<span>%d of 17, worst first</span>", i+1)) {
			t.Errorf("track %d leads to %v, want %v", i, got, want)
		}
	}
	filtered := get(s, fmt.Sprintf("/track/%d?verdict=hold-back&sort=name", d.Order[2]))
	if m := link.FindStringSubmatch(filtered); m == nil || !strings.HasSuffix(m[2], "?sort=name&amp;verdict=hold-back") || !strings.Contains(filtered, `<a href="/?sort=name&amp;verdict=hold-back">All tracks`) {
		t.Errorf("with a filter it leads to %v", m)
	}
}

// Without JavaScript counts are right, a mark with heavy consequences asks on a page of its own,
// and Undo comes back to where it was.
func TestFormsWithoutJavaScript(t *testing.T) {
	db, _ := bagged(t)
	base := served(t, db, Options{})
	ctx := browser.Tab(t)
	visit(t, ctx, base)
	browser.Screen(t, ctx, 1024, 768, "light")
	if _, err := chromedp.Call(ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		t.Fatal(err)
	}
	read := func(selector string) string {
		t.Helper()
		text, err := chromedp.Run(ctx, chromedp.TextContent(chromedp.CSS(selector)))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	at := func() string {
		t.Helper()
		where, err := chromedp.Run(ctx, chromedp.Location())
		if err != nil {
			t.Fatal(err)
		}
		return strings.TrimPrefix(where, base)
	}
	browser.Do(t, ctx, chromedp.Navigate(base+"/?status=released"))
	if got := read("#shown"); got != "8 of 13 tracks: released" {
		t.Errorf("the count says %q", got)
	}
	quiet := named(t, db, "Dubs/night bus edit.wav")
	track := fmt.Sprintf("/track/%d", quiet.ID)
	browser.Do(t, ctx, chromedp.Navigate(base+track), chromedp.Click(chromedp.CSS(".marks [value=reference]")), chromedp.WaitReady(chromedp.CSS("[name=sure]")))
	if got := read("h1"); !strings.HasPrefix(got, "This one reference would lead") {
		t.Errorf("it asks %q", got)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS("form[action='/marks'] button")), chromedp.WaitVisible(chromedp.CSS("#undo form")))
	if !named(t, db, quiet.Path).Marks.Reference {
		t.Error("what was confirmed is not so")
	}
	browser.Do(t, ctx, chromedp.Navigate(base+"/?verdict=out&sort=name"), chromedp.Click(chromedp.CSS("#undo button")))
	browser.Do(t, ctx, chromedp.WaitReady(chromedp.CSS("#undo:not(:has(form))")))
	if got := at(); got != "/?verdict=out&sort=name" || named(t, db, quiet.Path).Marks.Reference {
		t.Errorf("Undo comes back to %q", got)
	}
}

// The question is put to whoever asks in plain words, too, and a page of it escapes what it is
// given.
func TestQuestions(t *testing.T) {
	bagged, _ := bagged(t)
	db := &counting{DB: bagged}
	s := New(db, Options{})
	quiet := named(t, db, "Dubs/night bus edit.wav").ID
	if status, said := post(s, "/marks", marking("reference", quiet)); status != http.StatusConflict || !strings.Contains(said, "This one reference would lead") || !strings.Contains(said, "sure=1") {
		t.Errorf("in plain words: %d %q", status, said)
	}
	form := marking("reference", quiet)
	form.Add("id", `1"><script>`)
	if w := ask(s, "POST", "/marks", form.Encode(), nil); w.Code != http.StatusBadRequest {
		t.Errorf("a number that is none: %d", w.Code)
	}
	w := ask(s, "POST", "/marks", marking("reference", quiet).Encode(), header("Referer", "http://127.0.0.1:4321/?q=x"))
	if body := w.Body.String(); w.Code != 200 || !strings.Contains(body, `name="sure" value="1"`) || !strings.Contains(body, fmt.Sprintf(`name="id" value="%d"`, quiet)) || !strings.Contains(body, `<a href="/?q=x">Leave it`) {
		t.Errorf("on a page: %d %s", w.Code, body)
	}
	if named(t, db, "Dubs/night bus edit.wav").Marks.Reference {
		t.Fatal("asking marks")
	}
	sure := marking("reference", quiet)
	sure.Set("sure", "1")
	if status, said := post(s, "/marks", sure); status != http.StatusNoContent {
		t.Errorf("sure: %d %q", status, said)
	}
	if n := db.judged.Load(); n != 1 {
		t.Errorf("what was asked about and is sure was worked out %d times", n)
	}
	if status, said := post(s, "/marks", marking("no-reference", quiet)); status != http.StatusConflict || !strings.Contains(said, "All released tracks would be the references again") {
		t.Errorf("back: %d %q", status, said)
	}
	// What changes little is not asked about.
	if status, said := post(s, "/marks", url.Values{"mark": {"ignore"}, "id": {fmt.Sprint(named(t, db, "Dubs/plain edit.wav").ID)}}); status != http.StatusNoContent {
		t.Errorf("a light mark: %d %q", status, said)
	}
}

// Nothing reads "-0.0", and at 360 px no label is cut.
func TestLabels(t *testing.T) {
	db := spoilt(t)
	base := served(t, db, Options{})
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 360, 780, "light")
	visit(t, ctx, base)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".row h3 a")))
	browser.Until(t, ctx, `document.querySelector('.row.open .marks')`)
	browser.Eval[bool](t, ctx, `(document.querySelectorAll('details').forEach(d => { d.open = true; }), true)`)
	wrong := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('button, summary, label, th, legend, figcaption, dt, #tally a, .legend li, h1, h2, .t, .o b')].filter(e => e.checkVisibility() && !e.closest('.sr')).flatMap(e => {
		const r = e.getBoundingClientRect(), cut = e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX !== 'visible';
		return cut || r.right > innerWidth + .5 || r.left < -.5 ? [e.outerHTML.slice(0, 90) + ' ' + [r.left, r.right, e.scrollWidth, e.clientWidth].map(Math.round)] : [];
	})`)
	for _, w := range wrong {
		t.Errorf("cut off: %s", w)
	}
	zero := regexp.MustCompile(`[-−]0\.0+\b`)
	s := serverAt(t, base)
	for _, id := range changesSince(t, s, "").Order {
		if found := zero.FindString(textIn(get(s, fmt.Sprintf("/track/%d", id)))); found != "" {
			t.Errorf("track %d reads %s", id, found)
		}
	}
	if found := zero.FindString(textIn(get(s, "/"))); found != "" {
		t.Errorf("the page reads %s", found)
	}
	row := browser.Eval[string](t, ctx, `document.querySelector('.row .t').textContent`)
	if !strings.HasPrefix(row, "trim ") {
		t.Errorf("the trim is read out as %q", row)
	}
}

// textIn is a page without its elements.
func textIn(html string) string { return regexp.MustCompile(`<[^>]*>`).ReplaceAllString(html, " ") }
