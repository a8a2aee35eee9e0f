package live

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"dubgauge/export/browser"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// friday is a list of the bag's tracks, written to a folder of its own.
func friday(t *testing.T, db *library.DB, name string) (path string) {
	t.Helper()
	var b strings.Builder
	b.WriteString("#EXTM3U\n#PLAYLIST:Friday night\n")
	for _, track := range []string{"Records/anchor.wav", "Dubs/night bus edit.wav", "Records/copper.wav", "Dubs/tin roof dubplate.wav"} {
		x := named(t, db, track)
		fmt.Fprintln(&b, x.DiskPath())
	}
	b.WriteString("gone for good.wav\n")
	path = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func text(t *testing.T, r *http.Response, err error) (status int, body string) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	b, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return r.StatusCode, string(b)
}

// upload posts a file as the form of the page does, from our own page or from another.
func upload(t *testing.T, url, field, name string, data []byte, origin string) (status int, body string) {
	t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	part, err := form.CreateFormFile(field, name)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := part.Write(data); err != nil {
		t.Fatal(err)
	}
	form.Close()
	r, err := http.NewRequest(http.MethodPost, url+orderPath, &b)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Origin", origin)
	r.AddCookie(serverAt(t, url).lock.asCookie())
	a, err := http.DefaultClient.Do(r)
	return text(t, a, err)
}

// TestOrderByPath: a list whose path is typed is shown; what is no list's name is not
// opened; what goes wrong is said on the page.
func TestOrderByPath(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	path := friday(t, db, "friday.m3u8")
	secret := filepath.Join(t.TempDir(), "secret.txt")
	if err := os.WriteFile(secret, []byte("swordfish\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	bad := filepath.Join(t.TempDir(), "bad.xspf")
	if err := os.WriteFile(bad, []byte("<a>\n</a>"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		list   string
		status int
		want   string
	}{
		{"", 200, "Choose a playlist"},
		{path, 200, "Running order: Friday night"},
		{path, 200, "5 tracks, 1 of them not found in the library"},
		{" " + path + " ", 200, "Not in the library, and not there where the list says"},
		{secret, 400, "That is no name of a playlist"},
		{filepath.Base(path), 400, "Give the whole path"},
		{path + "x", 400, "That is no name of a playlist"},
		{filepath.Dir(path) + "/no.m3u", 400, "no.m3u cannot be read: no such file or directory."},
		{bad, 400, "bad.xspf, line 1: this is XML, but no XSPF"},
	} {
		r, err := fetch(t, http.DefaultClient, url+orderPath+"?list="+strings.ReplaceAll(strings.ReplaceAll(c.list, " ", "%20"), "#", "%23"))
		status, body := text(t, r, err)
		if status != c.status || !strings.Contains(body, c.want) || !strings.Contains(body, "Choose a playlist") || r.Header.Get("Content-Type") != "text/html; charset=utf-8" {
			t.Errorf("%q: %d, %s, no %q", c.list, status, r.Header.Get("Content-Type"), c.want)
		}
		if strings.Contains(body, "swordfish") {
			t.Error("a file that is no list is shown")
		}
	}
}

// TestOrderByUpload: a file is taken up to its limit, from our own page alone.
func TestOrderByUpload(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	list, err := os.ReadFile(friday(t, db, "x.m3u8"))
	if err != nil {
		t.Fatal(err)
	}
	full := append(list, bytes.Repeat([]byte("#\n"), (maxUpload-len(list))/2)...)
	for _, c := range []struct {
		name, field string
		data        []byte
		origin      string
		status      int
		want        string
	}{
		{"own", "list", list, url, 200, "Running order: Friday night"},
		{"in the roots", "list", []byte("path;title\nRecords/anchor.wav;x\n"), url, 200, "Running order: in the roots"},
		{"at the limit", "list", full, url, 200, "Running order: Friday night"},
		{"over it", "list", append(full, full...), url, 400, "The list is larger than 4 MB: name its path instead."},
		{"another field", "file", list, url, 400, "No file came with the request"},
		{"no list", "list", []byte("RIFF\x00\x00"), url, 400, "no list: this is no text"},
		{"foreign", "list", list, "http://example.org", 403, "another site"},
	} {
		status, body := upload(t, url, c.field, c.name, c.data, c.origin)
		if status != c.status || !strings.Contains(body, c.want) {
			t.Errorf("%s: %d, no %q in %.300q", c.name, status, c.want, body)
		}
	}
	r, err := http.NewRequest(http.MethodPost, url+orderPath, strings.NewReader("list=x"))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Origin", url)
	r.AddCookie(serverAt(t, url).lock.asCookie())
	a, err := http.DefaultClient.Do(r)
	if status, body := text(t, a, err); status != 400 || !strings.Contains(body, "No file came") {
		t.Errorf("no form: %d", status)
	}
}

// shelf is a library of these tracks.
type shelf struct {
	Store
	tracks []library.Track
}

func (s shelf) Tracks(context.Context, library.TrackOptions) ([]library.Track, error) {
	return s.tracks, nil
}

func (s shelf) State(context.Context) (library.State, error) { return library.State{}, nil }

func (s shelf) Fill(context.Context, []*library.Track) error { return nil }

// TestOrderOffersLists: playlists in the library's folders are offered, the one that is
// shown is chosen, and places beside it are found; tracks that are gone are not, those that
// are to be ignored are.
func TestOrderOffersLists(t *testing.T) {
	root := t.TempDir()
	if err := os.MkdirAll(filepath.Join(root, "Lists"), 0o755); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{"a & b.m3u": "../one.wav\n../two.wav\n../three.wav\n", "c.xspf": "", "table.csv": "", "notes.txt": ""} {
		if err := os.WriteFile(filepath.Join(root, "Lists", name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	one, two, three := madeup.Track(1, "one.wav", -7), madeup.Track(2, "two.wav", -7), madeup.Track(3, "three.wav", -7)
	two.MissingSince, three.Marks.Ignore = time.Unix(1e9, 0), true
	for _, x := range []*library.Track{&one, &two, &three} {
		x.Root = root
	}
	url := served(t, shelf{tracks: []library.Track{one, two, three}}, Options{})
	r, err := fetch(t, http.DefaultClient, url+orderPath+"?list="+root+"/Lists/a%20%26%20b.m3u")
	_, body := text(t, r, err)
	for _, want := range []string{
		`<option value="` + root + `/Lists/a &amp; b.m3u" selected>`, `<option value="` + root + `/Lists/c.xspf">`,
		"3 tracks, 1 of them not found in the library", `href="/track/1"`, `href="/track/3"`,
	} {
		if !strings.Contains(body, want) {
			t.Errorf("no %q", want)
		}
	}
	link := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(filepath.Join(root, "Lists"), link); err != nil {
		t.Fatal(err)
	}
	r, err = fetch(t, http.DefaultClient, url+orderPath+"?list="+link+"/a%20%26%20b.m3u")
	if _, body := text(t, r, err); strings.Contains(body, "the list names a file outside") || !strings.Contains(body, `href="/track/1"`) || strings.Contains(body, "by its name alone") {
		t.Error("what lies beside a list behind a link is not found there")
	}
	for _, unwanted := range []string{"table.csv", "notes.txt", `href="/track/2"`, "There may be more"} {
		if strings.Contains(body, unwanted) {
			t.Errorf("%q is there", unwanted)
		}
	}
}

// TestMarksKeepTheirLimit: what is larger than a mark is for lists alone.
func TestMarksKeepTheirLimit(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	r, err := http.NewRequest(http.MethodPost, url+"/marks", strings.NewReader("mark=ignore&x="+strings.Repeat("y", maxBody)))
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", url)
	r.AddCookie(serverAt(t, url).lock.asCookie())
	a, err := http.DefaultClient.Do(r)
	if status, _ := text(t, a, err); status != http.StatusRequestEntityTooLarge {
		t.Errorf("%d", status)
	}
}

// recordAudio keeps what would be played, and how: each source's start, length and rate,
// each gain's highest value.
const recordAudio = `(() => {
	window.played = [];
	const start = AudioBufferSourceNode.prototype.start, stop = AudioBufferSourceNode.prototype.stop;
	AudioBufferSourceNode.prototype.start = function (at) { this.mine = { at, rate: this.playbackRate.value, has: this.buffer.duration }; window.played.push(this.mine); return start.call(this, at); };
	AudioBufferSourceNode.prototype.stop = function (at) { if (at) this.mine.until = at; return stop.apply(this, arguments); };
	const ramp = AudioParam.prototype.linearRampToValueAtTime;
	window.gains = [];
	AudioParam.prototype.linearRampToValueAtTime = function (v, at) { if (v > 0) window.gains.push(v); return ramp.call(this, v, at); };
	return true;
})()`

// TestHearAStep: from the list to the page of the order, by typing the path; the picture is
// there, and a step is played: the outgoing part, then at its end the incoming one, at the
// rate and the gains that the server worked out; the button stops it.
func TestHearAStep(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 1200, 900, "light")
	visit(t, ctx, url)
	browser.Until(t, ctx, `document.querySelector('a[href="/order"]')`)
	browser.Eval[bool](t, ctx, `(document.querySelector('a[href="/order"]').click(), true)`) // wherever the menu has it
	browser.Until(t, ctx, `document.querySelector('input[type=text][name=list]')`)
	browser.Do(t, ctx, chromedp.SendKeys(chromedp.CSS(`input[type=text][name=list]`), friday(t, db, "friday.m3u8")), chromedp.Submit(chromedp.CSS(`input[type=text][name=list]`)))
	browser.Until(t, ctx, `document.querySelectorAll('svg.stave .bars').length === 3 && document.body.classList.contains('js')`)
	if got := browser.Eval[[]string](t, ctx, `[...document.querySelectorAll('.place .name > a')].map(a => a.textContent)`); len(got) != 4 || got[1] != "night bus edit.wav" {
		t.Errorf("places %q", got)
	}
	if n := browser.Eval[int](t, ctx, `document.querySelectorAll('.place.lost').length`); n != 1 {
		t.Errorf("%d places not found", n)
	}
	// The bag has no beat; what a server says of tracks that have one is put in by hand.
	browser.Eval[bool](t, ctx, recordAudio)
	browser.Eval[bool](t, ctx, `(Object.assign(document.querySelector('.hear button').dataset, { outLen: 2, inLen: 3, rate: 1.5, outDb: -6.0206, inDb: -20 }), true)`)
	if got := browser.Eval[string](t, ctx, `document.querySelector('.hear small').textContent`); got != "Not in time: one of the tracks has no beat that could be measured." {
		t.Errorf("%q", got)
	}
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".hear button")))
	browser.Until(t, ctx, `document.querySelector('.hear output').textContent.startsWith('Playing the end of')`)
	ok := browser.Eval[bool](t, ctx, `(() => { const [a, b] = window.played, near = (x, y) => Math.abs(x - y) < 1e-4;
		return window.played.length === 2 && near(a.until - a.at, 2) && near(b.at, a.until) && near(b.until - b.at, 2) && a.rate === 1 && b.rate === 1.5 &&
			near(window.gains[0], 0.5) && near(window.gains[1], 0.1) && window.gains.length === 2; })()`)
	if !ok {
		t.Errorf("played %s at %s", browser.Eval[string](t, ctx, `JSON.stringify(window.played)`), browser.Eval[string](t, ctx, `JSON.stringify(window.gains)`))
	}
	browser.Until(t, ctx, `document.querySelector('.hear output').textContent.startsWith('Playing the start of')`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".hear button")))
	browser.Until(t, ctx, `document.querySelector('.hear output').textContent === '' && document.querySelector('.hear button').getAttribute('aria-pressed') === 'false'`)
}

// TestHearWhatIsGone: a track whose file is gone is said beside the button.
func TestHearWhatIsGone(t *testing.T) {
	db, _ := bagged(t)
	url := served(t, db, Options{})
	ctx := browser.Tab(t)
	browser.Screen(t, ctx, 390, 800, "dark")
	visit(t, ctx, url+orderPath+"?list="+friday(t, db, "friday.m3u8"))
	browser.Until(t, ctx, `document.body.classList.contains('js')`)
	if browser.Eval[bool](t, ctx, `document.documentElement.scrollWidth > innerWidth`) {
		t.Error("the page is wider than a phone")
	}
	browser.Eval[bool](t, ctx, `(window.fetch = async () => new Response('this track has no audio to play', { status: 404 }), true)`)
	browser.Do(t, ctx, chromedp.Click(chromedp.CSS(".hear button")))
	browser.Until(t, ctx, `document.querySelector('.hear output').textContent === 'Not played: this track has no audio to play'`)
	if got := browser.Eval[string](t, ctx, `document.querySelector('.hear button').textContent`); got != "Hear this step" {
		t.Errorf("the button says %q", got)
	}
}
