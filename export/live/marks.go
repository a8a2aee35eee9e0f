package live

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"

	"dubgauge/export/page"
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

// undoStep is what marks were before they were changed.
type undoStep struct {
	id            int64
	what          string
	before, after map[int64]library.Marks
	was, is       known // the library before and behind it; of the last step alone
}

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

// mark changes the marks of tracks and remembers what they were.
func (s *Server) mark(w http.ResponseWriter, r *http.Request) {
	ids, change, said, err := parseMark(r)
	if err == nil {
		err = s.change(r.Context(), ids, change, said)
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
func (s *Server) change(ctx context.Context, ids []int64, change func(library.Marks) library.Marks, said string) error {
	ctx = context.WithoutCancel(ctx) // what is written must be remembered
	s.marking.Lock()
	defer s.marking.Unlock()
	was, err := s.latest(ctx)
	if err != nil {
		return err
	}
	before, at, err := s.store.MarkBetween(ctx, ids, change)
	if err != nil {
		return err
	}
	step := &undoStep{what: words.Counted(len(before), "track") + ": " + said + ".", before: before, after: make(map[int64]library.Marks, len(before))}
	for id, m := range before {
		step.after[id] = change(m)
	}
	s.keep(step)
	is, err := s.follow(ctx, was, at, step.after)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	step.what = describe(was.tracks, is.tracks, ids, said)
	step.was, step.is = was, is
	return nil
}

// follow is the library behind a change of marks: judged in memory where the change is all
// that happened to it, else read.
func (s *Server) follow(ctx context.Context, was known, at library.Between, marks map[int64]library.Marks) (known, error) {
	if at.Before == was.state {
		if after, err := s.store.Rejudge(ctx, was.tracks, marks, s.opts.Judge); err == nil {
			return s.taken(after, at.After), nil
		}
	}
	return s.latest(ctx)
}

// taken has these tracks be the library.
func (s *Server) taken(tracks []library.Track, state library.State) known {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.take(tracks, state)
	return s.known
}

// keep remembers a step. Of those before it, only the marks are kept.
func (s *Server) keep(step *undoStep) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.steps++
	step.id = s.steps
	for _, u := range s.undo {
		u.was, u.is = known{}, known{}
	}
	s.undo = append(s.undo, step)
	s.undo = s.undo[max(0, len(s.undo)-maxUndo):]
}

// describe says what was done, and how many verdicts of other tracks it changed.
func describe(before, after []library.Track, ids []int64, said string) string {
	who := words.Counted(len(ids), "track")
	was := make(map[int64]*library.Track, len(before))
	for i := range before {
		was[before[i].ID] = &before[i]
	}
	changed := 0
	for i := range after {
		t := &after[i]
		marked := slices.Contains(ids, t.ID)
		if old := was[t.ID]; old != nil && !marked && old.Verdict != t.Verdict {
			changed++
		}
		if marked && len(ids) == 1 {
			who = words.Name(t)
		}
	}
	s := fmt.Sprintf("%s: %s.", who, said)
	if changed > 0 {
		s += " " + words.Counted(changed, "other verdict") + " changed."
	}
	return s
}

// takeBack undoes the step that the form names.
func (s *Server) takeBack(w http.ResponseWriter, r *http.Request) {
	err := r.ParseForm()
	if err == nil {
		id, _ := strconv.ParseInt(r.PostForm.Get("step"), 10, 64)
		s.marking.Lock()
		err = s.undoStep(context.WithoutCancel(r.Context()), id)
		s.marking.Unlock()
	}
	s.answer(w, r, err)
}

// undoStep sets the marks of a step to what they were, and forgets the step once that is
// done: one that failed can be tried again. Tracks that are no longer in the library are
// passed over. Where a track was marked since, all is left as it is.
func (s *Server) undoStep(ctx context.Context, id int64) error {
	step := s.step(id)
	if step == nil {
		return errNoUndo
	}
	k, err := s.latest(ctx)
	if err != nil {
		return err
	}
	restored, at, err := s.store.RestoreBetween(ctx, step.before, step.after)
	since := errors.Is(err, library.ErrMarkedSince)
	if err != nil && !since {
		return err
	}
	s.mu.Lock()
	s.undo = slices.DeleteFunc(s.undo, func(o *undoStep) bool { return o == step })
	s.mu.Unlock()
	switch {
	case since:
		return errMarkedSince
	case restored == 0:
		return errUndoGone
	}
	if step.is.version > 0 && k.version == step.is.version && at.Before == k.state {
		s.taken(step.was.tracks, at.After) // all is as it was
		return nil
	}
	_, err = s.follow(ctx, k, at, step.before)
	return err
}

// step is the one of that number; nil for none.
func (s *Server) step(id int64) *undoStep {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, u := range s.undo {
		if u.id == id {
			return u
		}
	}
	return nil
}

// lastMark is what undo would take back.
func (s *Server) lastMark() page.Undo {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.undo); n > 0 {
		return page.Undo{Step: s.undo[n-1].id, What: s.undo[n-1].what}
	}
	return page.Undo{}
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

// cameFrom is the page of ours that a form was on, with its filter; else that of the track.
func cameFrom(r *http.Request) string {
	if from, err := url.Parse(r.Referer()); err == nil && from.Host == r.Host && strings.HasPrefix(from.Path, "/") {
		return (&url.URL{Path: path.Clean(from.Path), RawQuery: from.RawQuery}).String()
	}
	if id, err := strconv.ParseInt(r.PostForm.Get("id"), 10, 64); err == nil {
		return "/track/" + strconv.FormatInt(id, 10)
	}
	return "/"
}
