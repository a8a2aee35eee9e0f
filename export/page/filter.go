package page

import (
	"cmp"
	"fmt"
	"net/url"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

// Filter is what the list is narrowed to, in which order; the server applies it for browsers
// without JavaScript, and to what is exported.
type Filter struct {
	Text, Verdict, Status, Folder, Order string
}

// maxQuery in bytes bounds what is searched for.
const maxQuery = 200

// ParseFilter reads a filter from the address of a page.
func ParseFilter(q url.Values) Filter {
	return Filter{
		Text: words.Clean(q.Get("q")[:min(maxQuery, len(q.Get("q")))]), Verdict: q.Get("verdict"), Status: q.Get("status"),
		Folder: q.Get("folder"), Order: q.Get("sort"),
	}
}

// Query is the filter as the end of an address, with the question mark; empty for none.
func (f Filter) Query() string {
	q := url.Values{}
	for name, value := range map[string]string{"q": f.Text, "verdict": f.Verdict, "status": f.Status, "folder": f.Folder, "sort": f.Order} {
		if value != "" {
			q.Set(name, value)
		}
	}
	if len(q) == 0 {
		return ""
	}
	return "?" + q.Encode()
}

// Narrows tells that the filter leaves tracks out; an order alone does not.
func (f Filter) Narrows() bool { return Filter{Order: f.Order} != f }

// askedFor are the words for what is asked of a verdict.
var askedFor = map[string]string{"out": "not ready", "hold-back": "to hold back", "check": "to check"}

// Words say what is shown, as in "6 of 17 tracks: to check, in Dubs".
func (f Filter) Words(shown, of int) string {
	var what []string
	if f.Verdict != "" {
		what = append(what, cmp.Or(askedFor[f.Verdict], f.Verdict))
	}
	if f.Status != "" {
		what = append(what, f.Status)
	}
	if f.Folder != "" {
		what = append(what, "in "+f.Folder)
	}
	if f.Text != "" {
		what = append(what, "with “"+f.Text+"”")
	}
	if len(what) == 0 {
		return words.Counted(of, "track")
	}
	return words.Clean(fmt.Sprintf("%d of %s: %s", shown, words.Counted(of, "track"), strings.Join(what, ", ")))
}

// Keep gives the tracks that the filter keeps, in their order; they are copies where it
// leaves any out.
func (f Filter) Keep(tracks []library.Track) []library.Track {
	if !f.Narrows() {
		return tracks
	}
	sticks := words.SticksOf(tracks)
	var kept []library.Track
	for i := range tracks {
		if f.keeps(&tracks[i], sticks) {
			kept = append(kept, tracks[i])
		}
	}
	return kept
}

// sort is the order asked for; the worst first when none is.
func (f Filter) sort() words.SortKey {
	if k, err := words.ParseSortKey(f.Order); err == nil {
		return k
	}
	return words.ByVerdict
}

// keeps tells that the filter keeps a track; sticks name the places of all.
func (f Filter) keeps(t *library.Track, sticks words.Sticks) bool {
	if f.Verdict != "" && !verdictMatches(f.Verdict, class(t)) || f.Status != "" && f.Status != string(t.Status) {
		return false
	}
	if f.Folder == "" && f.Text == "" {
		return true
	}
	place := words.Clean(sticks.Place(t))
	if f.Folder != "" && !strings.HasPrefix(place, f.Folder+"/") {
		return false
	}
	text := strings.ToLower(words.Name(t) + " " + words.Verdict(t) + ": " + strings.Join(t.Reasons, ", ") + " " + place)
	for _, word := range strings.Fields(strings.ToLower(f.Text)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// verdictMatches: "out" is everything that is not ready.
func verdictMatches(wanted, class string) bool {
	if wanted == "out" {
		return class != "ready" && class != ignored
	}
	return wanted == class
}
