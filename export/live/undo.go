package live

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"

	"dubgauge/export/page"
	"dubgauge/library"
)

// undoStep is what marks were before they were changed.
type undoStep struct {
	id            int64
	what          string
	before, after map[int64]library.Marks
	was, is       known // the library before and behind it; of the last step alone
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
