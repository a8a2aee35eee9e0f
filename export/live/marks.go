package live

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"dubgauge/export/words"
	"dubgauge/library"
)

var (
	errBadMark = errors.New("a mark is one of released, unreleased, reference, no-reference, ignore, no-ignore, clear, with the numbers of tracks")
	errNoUndo  = errors.New("there is nothing to undo: that step was taken back already, or is too long ago")
	// errMarkedSince: another window or another program was there in between.
	errMarkedSince = errors.New("not undone: these tracks were marked again since, in another window or by another program; they were left as they are")
	// errUndoGone: the tracks were deleted from the database meanwhile.
	errUndoGone = errors.New("the tracks of the last step are no longer in the library, so there is nothing to undo of it")
)

const (
	maxMarked = 1000 // tracks in one request
	maxUndo   = 100  // steps kept; older ones are forgotten
)

// markChange gives what a mark does. Each sets a state: asked for again, it changes
// nothing.
func markChange(mark string) (change func(library.Marks) library.Marks, said string) {
	switch mark {
	case "released", "unreleased":
		return func(m library.Marks) library.Marks { m.Status = library.Status(mark); return m }, "marked as " + mark
	case "reference":
		return func(m library.Marks) library.Marks { m.Reference = true; return m }, "named as a reference"
	case "no-reference":
		return func(m library.Marks) library.Marks { m.Reference = false; return m }, "no longer a reference by name"
	case "ignore":
		return func(m library.Marks) library.Marks { m.Ignore = true; return m }, "ignored"
	case "no-ignore":
		return func(m library.Marks) library.Marks { m.Ignore = false; return m }, "no longer ignored"
	case "clear":
		return func(library.Marks) library.Marks { return library.Marks{} }, "without marks"
	}
	return nil, ""
}

// mark changes the marks of tracks and remembers what they were. What has heavy consequences
// is asked about first, unless the form says that it is sure.
func (s *Server) mark(w http.ResponseWriter, r *http.Request) {
	ids, change, said, err := parseMark(r)
	if err == nil {
		err = s.change(r.Context(), ids, change, said, r.PostForm.Get("sure") != "")
	}
	var q *question
	if errors.As(err, &q) {
		s.ask(w, r, q)
		return
	}
	s.answer(w, r, err)
}

func parseMark(r *http.Request) (ids []int64, change func(library.Marks) library.Marks, said string, err error) {
	if err := r.ParseForm(); err != nil {
		if errors.As(err, new(*http.MaxBytesError)) || errors.Is(err, os.ErrDeadlineExceeded) {
			return nil, nil, "", err
		}
		return nil, nil, "", errBadMark
	}
	change, said = markChange(r.PostForm.Get("mark"))
	for _, text := range r.PostForm["id"] {
		id, err := strconv.ParseInt(text, 10, 64)
		if err != nil {
			return nil, nil, "", errBadMark
		}
		ids = append(ids, id)
	}
	if change == nil || len(ids) == 0 || len(ids) > maxMarked {
		return nil, nil, "", errBadMark
	}
	return ids, change, said, nil
}

// change writes marks to the database, keeps the step for undo and judges the tracks
// anew. What was written can be undone also when that fails.
func (s *Server) change(ctx context.Context, ids []int64, change func(library.Marks) library.Marks, said string, sure bool) error {
	ctx = context.WithoutCancel(ctx) // what is written must be remembered
	s.marking.Lock()
	defer s.marking.Unlock()
	was, err := s.latest(ctx)
	if err != nil {
		return err
	}
	foreseen := s.foresee(ctx, was, ids, change)
	if !sure {
		if q := weigh(was.tracks, foreseen, ids); q != nil {
			return q
		}
	}
	s.foreseen = foresight{} // it comes true, or is past
	before, at, err := s.store.MarkBetween(ctx, ids, change)
	if err != nil {
		return err
	}
	step := &undoStep{what: words.Counted(len(before), "track") + ": " + said + ".", before: before, after: make(map[int64]library.Marks, len(before))}
	for id, m := range before {
		step.after[id] = change(m)
	}
	s.keep(step)
	var is known
	if foreseen != nil && at.Before == was.state {
		is = s.taken(foreseen, at.After)
	} else if is, err = s.latest(ctx); err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	step.what = describe(was.tracks, is.tracks, ids, said)
	step.was, step.is = was, is
	return nil
}

// foresee is the library as it would be with marks changed; nil where that cannot be told.
func (s *Server) foresee(ctx context.Context, was known, ids []int64, change func(library.Marks) library.Marks) []library.Track {
	marks := make(map[int64]library.Marks, len(ids))
	for i := range was.tracks {
		if t := &was.tracks[i]; slices.Contains(ids, t.ID) {
			marks[t.ID] = change(t.Marks)
		}
	}
	if len(marks) == 0 {
		return nil
	}
	if f := s.foreseen; f.of == was.version && maps.Equal(f.marks, marks) { // it was asked about
		return f.tracks
	}
	foreseen, err := s.store.Rejudge(ctx, was.tracks, marks, s.opts.Judge)
	if err != nil {
		return nil // it is read anew once the marks are written
	}
	s.foreseen = foresight{was.version, marks, foreseen}
	return foreseen
}

// foresight is a library as it would be with marks changed.
type foresight struct {
	of     int64 // version of the library
	marks  map[int64]library.Marks
	tracks []library.Track
}

// taken has these tracks be the library.
func (s *Server) taken(tracks []library.Track, state library.State) known {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.take(tracks, state)
	return s.known
}

// describe says what was done, and how many verdicts of other tracks it changed.
func describe(before, after []library.Track, ids []int64, said string) string {
	who := words.Counted(len(ids), "track")
	for i := range after {
		if t := &after[i]; len(ids) == 1 && t.ID == ids[0] {
			who = words.Name(t)
		}
	}
	s := fmt.Sprintf("%s: %s.", who, said)
	if changed := otherVerdicts(before, after, ids); changed > 0 {
		s += " " + words.Counted(changed, "other verdict") + " changed."
	}
	return s
}

// answer goes back to where the form was, for browsers without JavaScript. The page's script
// gets what changed since the state that the form names.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, err error) {
	if err != nil {
		s.fail(w, r, err)
		return
	}
	switch r.Header.Get("Accept") {
	case "application/json":
		s.sendChanges(w, r, r.PostForm.Get("since"))
		return
	case "text/plain":
		w.WriteHeader(http.StatusNoContent)
		return
	}
	http.Redirect(w, r, cameFrom(r), http.StatusSeeOther)
}

// cameFrom is the page of ours that a form was on, with its filter; else that of the track. A
// form that was asked about names the page before the question.
func cameFrom(r *http.Request) string {
	if from, err := url.Parse(r.Referer()); err == nil && from.Host == r.Host && strings.HasPrefix(from.Path, "/") {
		if from.Path != r.URL.Path {
			return ourPage(from)
		}
		if back, err := url.Parse(r.PostForm.Get("back")); err == nil && strings.HasPrefix(back.Path, "/") {
			return ourPage(back)
		}
	}
	if id, err := strconv.ParseInt(r.PostForm.Get("id"), 10, 64); err == nil {
		return "/track/" + strconv.FormatInt(id, 10)
	}
	return "/"
}

// ourPage is an address without anything that could lead to another site.
func ourPage(u *url.URL) string {
	return (&url.URL{Path: path.Clean(u.Path), RawQuery: u.RawQuery}).String()
}
