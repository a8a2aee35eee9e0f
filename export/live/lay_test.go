package live

import (
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// shifted is a library of a track and of another version of it: 3 dB quieter, and beginning
// half a second and seven samples later in the music.
const shiftedBy = 22050 + 7

func shifted(t *testing.T) (*library.DB, library.Track, library.Track) {
	t.Helper()
	dir := t.TempDir()
	first := sound{path: "Dubs/tune v7.wav", rate: 44100, seconds: 30}
	left, right := first.samples(4)
	for i := range left { // something that happens, to be found by
		swell := 0.55 + 0.45*math.Sin(float64(i)/44100*2*math.Pi*(0.7+0.01*float64(i)/44100))
		left[i], right[i] = left[i]*swell, right[i]*swell
	}
	writeStereo(t, filepath.Join(dir, "bag"), first, left, right)
	gain := math.Pow(10, -3.0/20)
	l, r := make([]float64, len(left)-shiftedBy), make([]float64, len(left)-shiftedBy)
	for i := range l {
		l[i], r[i] = left[i+shiftedBy]*gain, right[i+shiftedBy]*gain
	}
	writeStereo(t, filepath.Join(dir, "bag"), sound{path: "Dubs/tune v8.wav", rate: 44100}, l, r)
	sound{path: "Records/other.wav", rate: 44100, seconds: 20}.write(t, filepath.Join(dir, "bag"), 9)
	db := openDB(t, filepath.Join(dir, "x.db"))
	if _, err := library.Scan(t.Context(), db, []string{filepath.Join(dir, "bag")}, library.ScanOptions{Released: []string{"Records/**"}}); err != nil {
		t.Fatal(err)
	}
	return db, named(t, db, "Dubs/tune v7.wav"), named(t, db, "Dubs/tune v8.wav")
}

// Two versions are laid on each other to the sample, and what differs is said.
func TestVersionsAreLaidOnEachOther(t *testing.T) {
	db, a, b := shifted(t)
	s := New(db, Options{})
	w := hear(s, fmt.Sprintf("/lay/%d", a.ID), b.ID, "")
	var got laidOn
	if err := json.Unmarshal(w.Body.Bytes(), &got); err != nil {
		t.Fatalf("%d %s: %v", w.Code, w.Body, err)
	}
	// What is at 0 s in A lies before the beginning of B, which begins later in the music.
	if want := -shiftedBy / 44100.0; got.OffsetS == nil || math.Abs(*got.OffsetS-want) > 1e-6 {
		t.Errorf("B lies at %s, want %.6f", w.Body, want)
	}
	if said := strings.Join(got.Said, " "); !strings.Contains(said, "Only the gain differs: B is 3.0") {
		t.Errorf("it says %q", said)
	}
	other := named(t, db, "Records/other.wav")
	got = laidOn{}
	if err := json.Unmarshal(hear(s, fmt.Sprintf("/lay/%d", a.ID), other.ID, "").Body.Bytes(), &got); err != nil || got.OffsetS != nil {
		t.Errorf("another tune lies at %v s (%v)", got.OffsetS, err)
	}
	if w := hear(s, fmt.Sprintf("/lay/%d", a.ID), 999, ""); w.Code != 404 {
		t.Errorf("a track that is not there: %d", w.Code)
	}

	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	starter(t, ctx, a.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, a.ID))
	browser.Until(t, ctx, state+` === 'playing'`)
	// The other version is opened, put beside what plays and heard.
	clickOn(t, ctx, fmt.Sprintf("#t%d h3 a", b.ID))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('.row.open [data-beside="%d"]')`, b.ID))
	clickOn(t, ctx, fmt.Sprintf(`[data-beside="%d"]`, b.ID))
	browser.Until(t, ctx, fmt.Sprintf(`%s && document.querySelector('#dock .beside').value === '%d' && %s === 'playing'`, sidePressed(1), b.ID, state))
	clickOn(t, ctx, "#dock .differ")
	browser.Until(t, ctx, `document.querySelector('#dock .note').textContent.includes('Only the gain differs')`)
	if note := browser.Eval[string](t, ctx, `document.querySelector('#dock .note').textContent`); !strings.Contains(note, "It has not all of this part") {
		t.Errorf("of a part from the beginning, which the other lacks, the dock says %q", note)
	}
	set(t, ctx, "again", "false")
	browser.Until(t, ctx, state+` === 'playing'`)

	// What is put there stays for other tracks.
	other = named(t, db, "Records/other.wav")
	starter(t, ctx, other.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, other.ID))
	browser.Until(t, ctx, fmt.Sprintf(`document.querySelector('#dock .who').getAttribute('href') === '/track/%d' && %s === 'playing'`, other.ID, state))
	if got := browser.Eval[string](t, ctx, `document.querySelector('#dock .beside').value`); got != fmt.Sprint(b.ID) {
		t.Errorf("beside another track lies %s, want %d", got, b.ID)
	}

	// A part that both have lies on the same music.
	eval := func(s string) string { return browser.Eval[string](t, ctx, s) }
	one := `{ seconds: 30, longest_s: 40, loudest_s: 0, beat: null }`
	beside := barsAt[loopPart](t, eval, fmt.Sprintf(`B.beside(%s, { seconds: 29.49, longest_s: 40, loudest_s: 3, beat: null, offset: -0.5 }, { from: 10, seconds: 15, bars: 0 }, 30)`, one))
	if beside.From != 9.5 || beside.Seconds != 15 {
		t.Errorf("the part of the other is %+v, want 15 s from 9.5 s", beside)
	}
	for _, c := range []struct {
		from float64
		want bool
	}{{0.4, false}, {0.5, true}, {14.98, true}, {15.1, false}} {
		keeps := barsAt[bool](t, eval, fmt.Sprintf(`B.keepsStep(%s, { seconds: 29.49, beat: null, offset: -0.5 }, { from: %g, seconds: 15, bars: 0 })`, one, c.from))
		if keeps != c.want {
			t.Errorf("from %g s on they go together: %v", c.from, keeps)
		}
	}
}
