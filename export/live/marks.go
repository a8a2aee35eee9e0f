package live

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"time"

	"dubgauge/export/words"
	"dubgauge/library"
)

var (
	errBadMark = errors.New("a mark is one of released, unreleased, reference, ignore, clear, with the numbers of tracks")
	errNoUndo  = errors.New("there is nothing to undo")
	// errUndoGone: the tracks were deleted from the database meanwhile.
	errUndoGone = errors.New("the tracks of the last step are no longer in the library, so there is nothing to undo of it")
)

const (
	maxMarked = 1000 // tracks in one request
	maxUndo   = 100  // steps kept; older ones are forgotten
)

// undoStep is what marks were before they were changed.
type undoStep struct {
	what   string
	before map[int64]library.Marks
}

// markChange gives what a mark does. Reference and ignore are switches: asked for
// again, they are taken back.
func markChange(mark string) (change func(library.Marks) library.Marks, said string) {
	switch mark {
	case "released", "unreleased":
		return func(m library.Marks) library.Marks { m.Status = library.Status(mark); return m }, "marked as " + mark
	case "reference":
		return func(m library.Marks) library.Marks { m.Reference = !m.Reference; return m }, "named as a reference or not"
	case "ignore":
		return func(m library.Marks) library.Marks { m.Ignore = !m.Ignore; return m }, "ignored or not"
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
		var tooLarge *http.MaxBytesError
		if errors.As(err, &tooLarge) {
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

// change writes marks to the database, keeps the step for undo and reads the verdicts
// anew. What was written can be undone also when that fails.
func (s *Server) change(ctx context.Context, ids []int64, change func(library.Marks) library.Marks, said string) error {
	ctx = context.WithoutCancel(ctx) // what is written must be remembered
	s.marking.Lock()
	defer s.marking.Unlock()
	tracks, err := s.library(ctx, false)
	if err != nil {
		return err
	}
	before, err := s.store.SetMarks(ctx, ids, change)
	if err != nil {
		return err
	}
	step := &undoStep{words.Counted(len(before), "track") + ": " + said + ".", before}
	s.keep(step)
	after, err := s.library(ctx, true)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	step.what = describe(tracks, after, ids, said)
	return nil
}

// keep remembers a step, and that what was read before is no longer so.
func (s *Server) keep(step *undoStep) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.undo = append(s.undo, step)
	s.undo = s.undo[max(0, len(s.undo)-maxUndo):]
	s.read = time.Time{}
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
			said = nowWords(was[t.ID], t, said)
		}
	}
	s := fmt.Sprintf("%s: %s.", who, said)
	if changed > 0 {
		s += " " + words.Counted(changed, "other verdict") + " changed."
	}
	return s
}

// nowWords makes the words of a switch exact.
func nowWords(old, t *library.Track, said string) string {
	switch {
	case old == nil:
	case !old.Marks.Ignore && t.Marks.Ignore:
		return "ignored"
	case old.Marks.Ignore && !t.Marks.Ignore:
		return "no longer ignored"
	case !old.Marks.Reference && t.Marks.Reference:
		return "named as a reference"
	case old.Marks.Reference && !t.Marks.Reference && t.Marks != (library.Marks{}):
		return "no longer a reference by name"
	}
	return said
}

// takeBack undoes the last step.
func (s *Server) takeBack(w http.ResponseWriter, r *http.Request) {
	s.marking.Lock()
	err := s.undoLast(context.WithoutCancel(r.Context()))
	s.marking.Unlock()
	s.answer(w, r, err)
}

// undoLast sets the marks of the last step to what they were, and forgets the step once
// that is done: one that failed can be tried again. Tracks that are no longer in the
// library are passed over.
func (s *Server) undoLast(ctx context.Context) error {
	step := s.last()
	if step == nil {
		return errNoUndo
	}
	restored, err := s.store.RestoreMarks(ctx, step.before)
	if err != nil {
		return err
	}
	s.mu.Lock()
	s.undo = s.undo[:len(s.undo)-1]
	s.read = time.Time{}
	s.mu.Unlock()
	if restored == 0 {
		return errUndoGone
	}
	_, err = s.library(ctx, true)
	return err
}

// last is the step that undo would take back; nil for none.
func (s *Server) last() *undoStep {
	s.mu.Lock()
	defer s.mu.Unlock()
	if n := len(s.undo); n > 0 {
		return s.undo[n-1]
	}
	return nil
}

// lastMark is what undo would take back; empty for nothing.
func (s *Server) lastMark() string {
	step := s.last()
	if step == nil {
		return ""
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return step.what
}

// answer goes back to where the form was, for browsers without JavaScript; the
// page's script asks for nothing but the outcome.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, err error) {
	if err != nil {
		s.fail(w, r, err)
		return
	}
	if r.Header.Get("Accept") == "text/plain" {
		w.WriteHeader(http.StatusNoContent)
		return
	}
	back := "/"
	if id, err := strconv.ParseInt(r.PostForm.Get("id"), 10, 64); err == nil {
		back = "/track/" + strconv.FormatInt(id, 10)
	}
	http.Redirect(w, r, back, http.StatusSeeOther)
}
