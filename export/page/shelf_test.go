package page

import (
	"fmt"
	"io"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/export/madeup"
	"dubgauge/export/words"
	"dubgauge/library"
)

// copyOf is a page elsewhere that is kept up to date by what changed.
type copyOf struct {
	state string
	rows  map[int64]string
	order []int64
	parts map[string]string
}

func (c *copyOf) take(d Delta) {
	c.state = d.State
	if d.Order != nil {
		c.order = d.Order
	}
	for _, id := range d.Gone {
		delete(c.rows, id)
	}
	maps.Copy(c.rows, d.Rows)
	maps.Copy(c.parts, d.Parts)
}

// follow takes all that changed, and gives how many answers that took.
func (c *copyOf) follow(t *testing.T, s *Shelf) (answers int) {
	t.Helper()
	for more := true; more; answers++ {
		d, err := s.Since(c.state)
		if err != nil || len(d.Rows) > mostRows {
			t.Fatalf("%d rows at once, error %v", len(d.Rows), err)
		}
		c.take(d)
		more = d.More > 0
	}
	return answers
}

func newCopy() *copyOf { return &copyOf{rows: map[int64]string{}, parts: map[string]string{}} }

func lay(t *testing.T, s *Shelf, version int64, tracks []library.Track, undo Undo) {
	t.Helper()
	if err := s.Lay(version, tracks, Options{}, undo); err != nil {
		t.Fatal(err)
	}
}

// fresh is a page that was taken whole.
func fresh(t *testing.T, tracks []library.Track, undo Undo) *copyOf {
	s := NewShelf("other")
	lay(t, s, 1, tracks, undo)
	c := newCopy()
	c.follow(t, s)
	return c
}

// sameRow takes rows for the same but for figures that nobody sees.
var sameRow = cmp.Comparer(func(a, b string) bool {
	return unseen.ReplaceAllString(a, "") == unseen.ReplaceAllString(b, "")
})

var unseen = regexp.MustCompile(` data-[pmlu]="[^"]*"`)

// Figures by which rows are ordered are sent again once they moved by what can be seen.
func TestRowsThatShowTheSame(t *testing.T) {
	a := row{Name: "x", Past: "1.0000", Mismatch: "-3.0000", Low: "0.2000", Sub: ""}
	for _, c := range []struct {
		change func(*row)
		want   bool
	}{
		{func(r *row) {}, true}, {func(r *row) { r.Name = "y" }, false}, {func(r *row) { r.Sub = "0.0000" }, false},
		{func(r *row) { r.Past, r.Mismatch, r.Low = "1.0490", "-3.0490", "0.1510" }, true},
		{func(r *row) { r.Past = "1.0510" }, false}, {func(r *row) { r.Mismatch = "-3.0510" }, false}, {func(r *row) { r.Low = "0.1490" }, false},
		{func(r *row) { r.Low = "" }, false},
	} {
		b := a
		c.change(&b)
		if got := a.shows(b); got != c.want || a.Past != "1.0000" {
			t.Errorf("%+v shows the same as %+v: %v", a, b, got)
		}
	}
}

// Whatever happens to a library, a page that takes what changed is the page that is made anew.
func TestWhatChangedMakesTheSamePage(t *testing.T) {
	more := mostRows + 6
	if testing.Short() {
		more = 20 // for the race detector: what is shared by few is shared by many
	}
	tracks := madeup.Tracks(more + firstRowsSent + 1 + more)
	s, c := NewShelf("run"), newCopy()
	undo := Undo{}
	for i, change := range []func([]library.Track) []library.Track{
		func(all []library.Track) []library.Track { return all[:more+firstRowsSent+1] },
		func(all []library.Track) []library.Track { return all },                             // more come
		func(all []library.Track) []library.Track { all[3].Marks.Ignore = true; return all }, // one is left out
		func(all []library.Track) []library.Track { return append(all[:5:5], all[9:]...) },   // four go
		func(all []library.Track) []library.Track { all[0].Marks.Reference = true; return all },
		func(all []library.Track) []library.Track { return all }, // the four come back, the marks go
		func(all []library.Track) []library.Track { return nil },
		func(all []library.Track) []library.Track { return all[:1] },
	} {
		now := change(slices.Clone(tracks))
		rejudgeTaking(now)
		undo.Step, undo.What = int64(i), fmt.Sprintf("step %d", i)
		lay(t, s, int64(i+1), now, undo)
		c.follow(t, s)
		want := fresh(t, now, undo)
		if d := cmp.Diff(want.rows, c.rows, sameRow); d != "" {
			t.Fatalf("change %d: rows differ:\n%.2000s", i, d)
		}
		if !slices.Equal(want.order, c.order) || !maps.Equal(want.parts, c.parts) {
			t.Fatalf("change %d: the order or the parts differ", i)
		}
	}
}

// What did not change is not sent; what changes while a page is being brought up to date, is.
func TestOnlyWhatChangedIsSent(t *testing.T) {
	if testing.Short() {
		t.Skip("nothing of it happens at once that does not in TestWhatChangedMakesTheSamePage; run without -short")
	}
	tracks := madeup.Tracks(mostRows + firstRowsSent + 10)
	s, c := NewShelf("run"), newCopy()
	lay(t, s, 1, tracks, Undo{})
	if n := c.follow(t, s); n != 3 {
		t.Errorf("%d rows came in %d answers", len(c.rows), n)
	}
	if d, err := s.Since(c.state); err != nil || len(d.Rows)+len(d.Gone)+len(d.Order)+len(d.Parts)+d.More != 0 || d.State != c.state {
		t.Errorf("nothing changed, and it sends %+v, %v", d, err)
	}
	lay(t, s, 1, tracks, Undo{Step: 4, What: "marked"})
	if d, err := s.Since(c.state); err != nil || len(d.Rows)+len(d.Order) != 0 || len(d.Parts) != 1 || !strings.Contains(d.Parts["undo"], "marked") {
		t.Errorf("a step came, and it sends %+v, %v", d, err)
	}
	renamed := slices.Clone(tracks)
	renamed[5].Tags.Title = "Renamed"
	lay(t, s, 2, renamed, Undo{})
	d, err := s.Since(c.state)
	if err != nil || len(d.Rows) != 1 || !strings.Contains(d.Rows[tracks[5].ID], "Renamed") || d.Order != nil || len(d.Parts) != 1 {
		t.Errorf("one was renamed, and it sends %d rows, %d parts, %v", len(d.Rows), len(d.Parts), err)
	}
	lay(t, s, 1, tracks, Undo{}) // somebody was slow to read what was there before
	if again, err := s.Since(d.State); err != nil || len(again.Rows) != 0 {
		t.Errorf("an older library came back: %+v, %v", again, err)
	}

	half := newCopy()
	first, _ := s.Since("")
	half.take(first)
	renamed = slices.Clone(renamed)
	for i := range renamed {
		renamed[i].Tags.Album = "x"
	}
	worst := s.order[0]
	i := slices.IndexFunc(renamed, func(t library.Track) bool { return t.ID == worst })
	renamed[i].Tags.Title = "Renamed as well"
	lay(t, s, 3, renamed, Undo{})
	half.follow(t, s)
	if d := cmp.Diff(fresh(t, renamed, Undo{}).rows, half.rows); d != "" {
		t.Errorf("a page that was half there differs:\n%.500s", d)
	}
}

// A state of another run, of the future or of nowhere is one that nothing is known of.
func TestStatesOfOthers(t *testing.T) {
	s := NewShelf("run")
	tracks := madeup.Tracks(12)
	lay(t, s, 1, tracks, Undo{})
	d, _ := s.Since("")
	if d.State != "run.1.1.0" {
		t.Fatalf("state %q", d.State)
	}
	for _, state := range []string{"", "other.1.1.0", "run.2.2.0", "run.1.2.0", "run.1.1.-1", "run.1.-1.0", "run.1.1", "run.x.1.0", "run.1.1.0.0"} {
		if d, err := s.Since(state); err != nil || len(d.Rows) != 12 || len(d.Order) != 12 || len(d.Parts) != len(partNames) {
			t.Errorf("since %q: %d rows, %d parts, %v", state, len(d.Rows), len(d.Parts), err)
		}
	}
}

var stateOfPage = regexp.MustCompile(`data-state="([^"]*)"`)

// A page states what it holds: all rows, or, with a filter, not all of them.
func TestListStatesWhatItHolds(t *testing.T) {
	s := NewShelf("run")
	tracks := madeup.Tracks(40)
	lay(t, s, 1, tracks, Undo{})
	for _, c := range []struct {
		filter Filter
		more   bool
		says   string
	}{{Filter{}, false, ">40 tracks<"}, {Filter{Order: "name"}, false, ">40 tracks<"}, {Filter{Status: "unreleased"}, true, ">10 of 40 tracks: unreleased<"}} {
		var b strings.Builder
		if err := s.List(&b, c.filter, 0); err != nil {
			t.Fatal(err)
		}
		state := stateOfPage.FindStringSubmatch(b.String())
		d, err := s.Since(state[1])
		if err != nil || (len(d.Rows) > 0) != c.more {
			t.Errorf("%+v: behind the page of state %s there are %d rows, %v", c.filter, state[1], len(d.Rows), err)
		}
		want := 0
		for i := range tracks {
			if c.filter.keeps(&tracks[i], nil) {
				want++
			}
		}
		if n := strings.Count(b.String(), `<li class="row`); n != want || !strings.Contains(b.String(), c.says) {
			t.Errorf("%+v: %d rows, want %d", c.filter, n, want)
		}
	}
}

// The rows of a list are in the order that is asked for.
func TestListInOrder(t *testing.T) {
	s := NewShelf("run")
	tracks := madeup.Tracks(40)
	lay(t, s, 1, tracks, Undo{})
	id := regexp.MustCompile(`<li class="row[^>]* id="t(\d+)"`)
	for _, key := range words.SortKeys() {
		var b strings.Builder
		if err := s.List(&b, Filter{Order: string(key)}, 0); err != nil {
			t.Fatal(err)
		}
		var want, got []string
		for _, t := range words.Order(tracks, key) {
			want = append(want, fmt.Sprint(t.ID))
		}
		for _, m := range id.FindAllStringSubmatch(b.String(), -1) {
			got = append(got, m[1])
		}
		if !slices.Equal(want, got) {
			t.Errorf("by %s: %v, want %v", key, got, want)
		}
	}
}

// BenchmarkList is a page request with nothing changed, BenchmarkLay laying 5,000 tracks anew
// of which all changed, and what is sent of it first.
func BenchmarkList(b *testing.B) {
	s := NewShelf("run")
	if err := s.Lay(1, madeup.Tracks(manyRows), Options{}, Undo{}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := s.List(io.Discard, Filter{}, 0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLay(b *testing.B) {
	tracks := [2][]library.Track{madeup.Tracks(manyRows), madeup.Tracks(manyRows)}
	for i := range tracks[1] {
		tracks[1][i].MismatchDB += 0.3
	}
	s := NewShelf("run")
	version := int64(0)
	for b.Loop() {
		version++
		if err := s.Lay(version, tracks[version%2], Options{}, Undo{}); err != nil {
			b.Fatal(err)
		}
		if _, err := s.Since(fmt.Sprintf("run.%d.%d.0", version-1, version-1)); err != nil {
			b.Fatal(err)
		}
	}
}
