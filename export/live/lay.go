package live

import (
	"context"
	"encoding/json"
	"net/http"

	"dubgauge/detect/compare"
	"dubgauge/export/words"
	"dubgauge/library"
)

// laidOn is what the dock is told of two tracks that are held against each other.
type laidOn struct {
	Said []string `json:"said"` // A being the first
	// OffsetS is the time in the second of what is at 0 s in the first, to the sample; it
	// is nil where they cannot be laid on each other, or one plays faster.
	OffsetS *float64 `json:"offset_s"`
}

// lay holds one track of the library against another. It decodes both, in one of the places
// for that.
func (s *Server) lay(w http.ResponseWriter, r *http.Request) {
	_, a, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	r.SetPathValue("id", r.PathValue("other"))
	_, b, err := s.find(r)
	if err == nil && !(playable(a) && playable(b)) {
		err = errNoAudio
	}
	var got laidOn
	if err == nil {
		got, err = s.against(r.Context(), a, b)
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	body, err := json.Marshal(got)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(body) // nobody is left to tell
}

// against reads both.
func (s *Server) against(ctx context.Context, a, b *library.Track) (got laidOn, err error) {
	err = s.look(ctx, func(ctx context.Context) error {
		r, err := compare.Tracks(ctx, a.Measured(ctx, &s.seen), b.Measured(ctx, &s.seen))
		if err != nil {
			return err
		}
		for _, line := range words.ComparedTracks(&r, &a.Measurement, &b.Measurement) {
			got.Said = append(got.Said, words.Typeset(line))
		}
		if r.Kind != compare.Other && r.OffsetSamples.Exists() && r.SpeedPercent == 0 {
			offset := float64(r.OffsetSamples) / float64(a.Measurement.File.SampleRateHz)
			got.OffsetS = &offset
		}
		return nil
	})
	return got, err
}
