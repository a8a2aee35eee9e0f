package page

import (
	"fmt"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/export/madeup"
	"dubgauge/library"
)

// A filter is read from an address, goes back into one, and says in words what it keeps.
func TestFilterInAnAddress(t *testing.T) {
	for query, c := range map[string]struct {
		f       Filter
		narrows bool
		words   string
	}{
		"": {Filter{}, false, "17 tracks"}, "?sort=low": {Filter{Order: "low"}, false, "17 tracks"},
		"?verdict=out":       {Filter{Verdict: "out"}, true, "6 of 17 tracks: not ready"},
		"?verdict=check":     {Filter{Verdict: "check"}, true, "6 of 17 tracks: to check"},
		"?status=unreleased": {Filter{Status: "unreleased"}, true, "6 of 17 tracks: unreleased"},
		"?folder=Dubs%2FA+%26+B&q=night+bus&verdict=hold-back": {Filter{Text: "night bus", Verdict: "hold-back", Folder: "Dubs/A & B"}, true,
			"6 of 17 tracks: to hold back, in Dubs/A & B, with “night bus”"},
	} {
		q, err := url.ParseQuery(strings.TrimPrefix(query, "?"))
		if err != nil {
			t.Fatal(err)
		}
		f := ParseFilter(q)
		if f != c.f || f.Query() != query || f.Narrows() != c.narrows || f.Words(6, 17) != c.words {
			t.Errorf("%s: %+v, back %s, narrows %v, says %q", query, f, f.Query(), f.Narrows(), f.Words(6, 17))
		}
	}
	if got := (Filter{}).Words(1, 1); got != "1 track" {
		t.Errorf("one track is %q", got)
	}
	if f := ParseFilter(url.Values{"q": {strings.Repeat("x", 3*maxQuery)}}); len(f.Text) != maxQuery {
		t.Errorf("it searches for %d bytes", len(f.Text))
	}
}

// A filter keeps what lies in a folder or below, and what its words name.
func TestFilterKeeps(t *testing.T) {
	tracks := madeup.Tracks(5)
	for i, p := range []string{"Dubs/a.wav", "Dubs/x/b.wav", "Dubs 2/c.wav", "d.wav", "Dubs.wav"} {
		tracks[i].Path = p
	}
	for _, c := range []struct {
		f    Filter
		want []int64
	}{{Filter{Folder: "Dubs"}, []int64{1, 2}}, {Filter{Folder: "Dubs/x"}, []int64{2}}, {Filter{Folder: "Dubs 2"}, []int64{3}}, {Filter{Folder: "Records", Text: "junction"}, nil},
		{Filter{Text: strings.ToUpper(tracks[4].Tags.Title)}, []int64{5}}, {Filter{Text: "dubs b.wav"}, []int64{2}}} {
		var got []int64
		for _, x := range c.f.Keep(tracks) {
			got = append(got, x.ID)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%+v keeps %v, want %v", c.f, got, c.want)
		}
	}
	if kept := (Filter{Order: "name"}).Keep(tracks); &kept[0] != &tracks[0] || len(kept) != len(tracks) {
		t.Error("an order leaves tracks out")
	}
	tracks[0].Root = "/other"
	if kept := (Filter{Folder: "other: Dubs"}).Keep(tracks); len(kept) != 1 || kept[0].ID != 1 {
		t.Errorf("on a stick of its own: %d", len(kept))
	}
}

// Folders are offered with those that hold them, and of very many those nearer the top.
func TestFoldersToChooseFrom(t *testing.T) {
	tracks := madeup.Tracks(4)
	for i, p := range []string{"b/c/x.wav", "b/c/y.wav", "a/z.wav", "top.wav"} {
		tracks[i].Path = p
	}
	if d := cmp.Diff([]string{"a", "b", "b/c"}, foldersOf(these(tracks), nil)); d != "" {
		t.Errorf("folders (-want +got):\n%s", d)
	}
	deep := madeup.Tracks(2*mostFolders + 1)
	for i := range deep {
		deep[i].Path = fmt.Sprintf("top %d/under/%d/x.wav", i%50, i)
	}
	got := foldersOf(these(deep), nil)
	if len(got) != 100 || slices.ContainsFunc(got, func(f string) bool { return strings.Count(f, "/") > 1 }) {
		t.Errorf("%d folders of a deep library, such as %q", len(got), got[:3])
	}
	for i := range deep {
		deep[i].Path = fmt.Sprintf("%d/x.wav", i)
	}
	if got := foldersOf(these(deep), nil); len(got) != mostFolders {
		t.Errorf("%d folders of a wide library", len(got))
	}
}

// A report of a filter holds what it keeps, and says on each sheet how many of how many.
func TestReportOfAFilter(t *testing.T) {
	tracks := madeup.Tracks(120)
	n := 0
	for i := range tracks {
		if tracks[i].Status == library.Unreleased {
			n++
		}
	}
	var b strings.Builder
	if err := Report(&b, tracks, Options{Title: "Friday", Filter: Filter{Status: "unreleased"}}); err != nil {
		t.Fatal(err)
	}
	html, says := b.String(), fmt.Sprintf("%d of 120 tracks: unreleased", n)
	if got := strings.Count(html, `<li class="row`); got != n || n <= firstRows {
		t.Errorf("%d rows, want %d", got, n)
	}
	if got := strings.Count(html, `<b>Friday</b><em>, `+says+`</em>, <i>page `); got != 2 {
		t.Errorf("%d sheets say %q", got, says)
	}
	if !strings.Contains(html, `<span id="narrow">. `+says+`</span>`) {
		t.Error("the head does not say what is shown")
	}
}

// A long list comes in pages for whoever has no script.
func TestListInPages(t *testing.T) {
	tracks := madeup.Tracks(2*firstServed + 5)
	s := NewShelf("run")
	lay(t, s, 1, tracks, Undo{})
	for _, c := range []struct {
		from, rows     int
		before, behind string
		where          string
	}{
		{0, firstServed, "", "/?from=400#tracks", "1 to 400 of 805"}, {400, firstServed, "/?from=0#tracks", "/?from=800#tracks", "401 to 800 of 805"},
		{800, 5, "/?from=400#tracks", "", "801 to 805 of 805"}, {-3, firstServed, "", "/?from=400#tracks", "1 to 400 of 805"}, {9999, 0, "/?from=405#tracks", "", "806 to 805 of 805"},
	} {
		var b strings.Builder
		if err := s.List(&b, Filter{}, c.from); err != nil {
			t.Fatal(err)
		}
		html := b.String()
		if n := strings.Count(html, `<li class="row`); n != c.rows || !strings.Contains(html, c.where) {
			t.Errorf("from %d there are %d rows", c.from, n)
		}
		for _, link := range []struct{ href, text string }{{c.before, "Tracks before these"}, {c.behind, "More tracks</a>"}} {
			if has := strings.Contains(html, link.text); has != (link.href != "") || has && !strings.Contains(html, `<a href="`+link.href+`">`) {
				t.Errorf("from %d, %s: %v", c.from, link.text, has)
			}
		}
	}
	var b strings.Builder
	if err := s.List(&b, Filter{Status: "released"}, 0); err != nil || !strings.Contains(b.String(), `<a href="/?status=released&amp;from=400#tracks">More`) {
		t.Errorf("the filter is lost on the next page: %v", err)
	}
	if links, rows := strings.Count(b.String(), `?status=released">`), strings.Count(b.String(), `<li class="row`); rows == 0 || links < rows {
		t.Errorf("of %d rows %d have a link with the filter", rows, links)
	}
}
