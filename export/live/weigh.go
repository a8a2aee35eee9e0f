package live

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"

	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

// A mark is heavy, and asked about, when it changes so many verdicts of other tracks that they
// are a fifth of the library, or as many as nobody would look through again. Our judgement.
const (
	heavyShare = 5
	heavyLeast = 3
	heavyMost  = 100
)

// question is what a mark would do, which its form has to be sure of.
type question struct{ text string }

func (q *question) Error() string { return q.text }

// otherVerdicts counts the tracks but those of ids whose verdict is another.
func otherVerdicts(before, after []library.Track, ids []int64) (changed int) {
	was := make(map[int64]*library.Track, len(before))
	for i := range before {
		was[before[i].ID] = &before[i]
	}
	for _, id := range ids {
		delete(was, id)
	}
	for i := range after {
		if old := was[after[i].ID]; old != nil && old.Verdict != after[i].Verdict {
			changed++
		}
	}
	return changed
}

// weigh gives the question of a mark that has heavy consequences; nil for any other.
func weigh(before, after []library.Track, ids []int64) *question {
	if after == nil {
		return nil
	}
	changed := otherVerdicts(before, after, ids)
	if changed < heavyLeast || changed*heavyShare < len(before) && changed < heavyMost {
		return nil
	}
	verdicts := "verdicts change"
	if changed == 1 {
		verdicts = "verdict changes"
	}
	return &question{fmt.Sprintf("%s: %d other %s, of %s.", leads(namedByHand(before), namedByHand(after)), changed, verdicts, words.Counted(len(after), "track"))}
}

// namedByHand counts the references that are named by hand.
func namedByHand(tracks []library.Track) (n int) {
	for i := range tracks {
		if tracks[i].Marks.Reference && tracks[i].TakesPart() {
			n++
		}
	}
	return n
}

// leads says what a mark does to the references.
func leads(before, after int) string {
	switch {
	case after == 1 && before != 1:
		return "This one reference would lead"
	case after > 0 && before == 0:
		return fmt.Sprintf("These %d references would lead", after)
	case after == 0 && before > 0:
		return "All released tracks would be the references again"
	}
	return "The references would be others"
}

// ask puts a question: to the page's script as such, to a browser without one on a page with
// the form again, to anybody else as a refusal.
func (s *Server) ask(w http.ResponseWriter, r *http.Request, q *question) {
	switch r.Header.Get("Accept") {
	case "application/json":
		w.Header().Set("Content-Type", "application/json")
		_ = json.NewEncoder(w).Encode(map[string]string{"ask": q.text}) // nobody is left to tell
	case "text/plain":
		http.Error(w, q.text+" Send it again with sure=1 to have it so.", http.StatusConflict)
	default:
		form := url.Values{"sure": {"1"}, "back": {cameFrom(r)}}
		for _, name := range []string{"mark", "id"} {
			form[name] = r.PostForm[name]
		}
		var b bytes.Buffer
		if err := page.Question(&b, q.text, "/marks", form, cameFrom(r)); err != nil {
			s.fail(w, r, err)
			return
		}
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(b.Bytes()) // nobody is left to tell
	}
}
