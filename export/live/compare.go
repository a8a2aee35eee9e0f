package live

import (
	"context"
	"encoding/json"
	"net/http"

	"dubgauge/detect/compare"
	"dubgauge/export/words"
	"dubgauge/library"
)

// compared is what the dock is told of two tracks that are held against each other.
type compared struct {
	Said []string `json:"said"` // A being the first
	// OffsetS is the time in the second of what is at 0 s in the first, to the sample; it
	// is nil where they cannot be laid on each other, or one plays faster.
	OffsetS *float64 `json:"offset_s"`
}

// compare holds one track of the library against another. It decodes both, in one of the
// places for that.
func (s *Server) compare(w http.ResponseWriter, r *http.Request) {
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
	var got compared
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
func (s *Server) against(ctx context.Context, a, b *library.Track) (compared, error) {
	ctx, cancel := context.WithTimeout(ctx, decodeTime)
	defer cancel()
	if err := enter(ctx, s.segments); err != nil {
		return compared{}, err
	}
	defer func() { <-s.segments }()
	r, err := compare.Tracks(ctx, a.Opener(ctx, &s.seen), b.Opener(ctx, &s.seen))
	if err != nil {
		return compared{}, err
	}
	got := compared{Said: words.Compared(&r)}
	if r.Kind != compare.Other && r.OffsetSamples.Exists() && r.SpeedPercent == 0 {
		offset := float64(r.OffsetSamples) / float64(a.Measurement.File.SampleRateHz)
		got.OffsetS = &offset
	}
	return got, nil
}
