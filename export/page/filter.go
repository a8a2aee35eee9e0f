package page

import (
	"net/url"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

// Filter is what the list is narrowed to; the server applies it for browsers
// without JavaScript.
type Filter struct {
	Text, Verdict, Status, Order string
}

// maxQuery in bytes bounds what is searched for.
const maxQuery = 200

// ParseFilter reads a filter from the address of a page.
func ParseFilter(q url.Values) Filter {
	return Filter{
		Text: words.Clean(q.Get("q")[:min(maxQuery, len(q.Get("q")))]), Verdict: q.Get("verdict"), Status: q.Get("status"), Order: q.Get("sort"),
	}
}

// sort is the order asked for; the worst first when none is.
func (f Filter) sort() words.SortKey {
	if k, err := words.ParseSortKey(f.Order); err == nil {
		return k
	}
	return words.ByVerdict
}

func (f Filter) keeps(t *library.Track) bool {
	if f.Verdict != "" && !verdictMatches(f.Verdict, class(t)) || f.Status != "" && f.Status != string(t.Status) {
		return false
	}
	text := strings.ToLower(words.Name(t) + " " + t.Path + " " + strings.Join(t.Reasons, ", "))
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
