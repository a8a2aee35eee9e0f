package live

import (
	"cmp"
	"context"
	"encoding/json"
	"net/http"
	"slices"

	"dubgauge/detect"
	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

// maxBeside is how many references are offered to listen to beside a track.
const maxBeside = 60

// listening is what the dock is told of a track.
type listening struct {
	side
	StepS      detect.Value  `json:"step_s"`     // of the timeline
	Timeline   detect.Values `json:"timeline"`   // LUFS, short-term, as it is played
	Moves      []string      `json:"moves"`      // settings to hear; none without advice
	MovesHead  float64       `json:"moves_head"` // headroom of the segment with them
	Beside     []side        `json:"beside"`     // versions of it, then references, the nearest first
	SegmentS   float64       `json:"segment_s"`  // of a stretch that no bars bound
	ScanAgain  string        `json:"scan_again"` // the command that measures its folder anew
	Unplayable string        `json:"unplayable"` // why there is no sound; empty where there is
}

// side is one of the tracks to listen to.
type side struct {
	ID       int64        `json:"id"`
	Name     string       `json:"name"`
	Label    string       `json:"label,omitempty"` // to choose it by
	Version  bool         `json:"version,omitempty"`
	LUFS     detect.Value `json:"lufs"`     // as it is played
	Headroom float64      `json:"headroom"` // dB by which its segment is turned down before it is sent
	Trim     detect.Value `json:"trim"`     // dB
	Seconds  detect.Value `json:"seconds"`
	LongestS float64      `json:"longest_s"` // that are sent at once
	LoudestS float64      `json:"loudest_s"` // where its loudest part begins
	Channels int          `json:"channels"`
	Beat     *beat        `json:"beat"` // nil where it is not sure
}

// beat is a steady tempo that can be relied on.
type beat struct {
	BPM   float64 `json:"bpm"`
	First float64 `json:"first"` // s, of a beat
	Bars  bool    `json:"bars"`  // that beat begins a bar of four
}

// sureTempo is the confidence from which a tempo is relied on: 99 % of clips and pieces that
// reach it have the right one (README, the table of confidence).
const sureTempo = 0.9

// beatOf is the beat of a track that keeps one tempo all through; nil where that is not sure.
func beatOf(t *library.Track) *beat {
	m := &t.Measurement.Tempo
	if !(m.Confidence >= sureTempo) || !(m.BPM > 0) || !m.FirstBeatS.Exists() || m.BeatInDoubt() || m.DriftPercent != 0 || m.ChangeAtS.Exists() {
		return nil
	}
	b := &beat{BPM: float64(m.BPM), First: float64(m.FirstBeatS)}
	if m.FirstDownbeatS.Exists() {
		b.First, b.Bars = float64(m.FirstDownbeatS), true
	}
	return b
}

func newSide(t *library.Track, label string) side {
	return side{ID: t.ID, Name: words.Name(t), Label: label, LUFS: t.PlayedLUFS(), Headroom: page.Headroom(t), Trim: t.Trim.TrimDB,
		Seconds: t.Measurement.File.DurationS, LongestS: longest(t), LoudestS: max(0, loudestStart(t)), Channels: t.Measurement.File.Channels, Beat: beatOf(t)}
}

// loudestStart is where the loudest part begins in seconds, 0 where that is not known.
func loudestStart(t *library.Track) float64 {
	if s := t.Loudness.Loudest30sStartS; s.Exists() {
		return float64(s)
	}
	return 0
}

// playable: there is sound, and a file to take it from.
func playable(t *library.Track) bool {
	return t.Loudness.Loudest30sLUFS.Exists() && !t.Missing()
}

// panel offers to listen to a track on its page; nil where it cannot be played.
func panel(t *library.Track, _ []*library.Track) *page.Listen {
	if !playable(t) {
		return nil
	}
	return &page.Listen{ID: t.ID}
}

// listen says what there is to hear of a track, as JSON.
func (s *Server) listen(w http.ResponseWriter, r *http.Request) {
	tracks, t, err := s.find(r)
	if err != nil {
		s.fail(w, r, err)
		return
	}
	l, err := s.listening(r.Context(), t, tracks)
	var body []byte
	if err == nil {
		body, err = json.Marshal(l)
	}
	if err != nil {
		s.fail(w, r, err)
		return
	}
	w.Header().Set("Content-Type", "application/json")
	_, _ = w.Write(body) // nobody is left to tell
}

func (s *Server) listening(ctx context.Context, t *library.Track, tracks []library.Track) (listening, error) {
	l := listening{side: newSide(t, ""), SegmentS: segmentSeconds, StepS: t.Loudness.TimelineStepS, ScanAgain: scanCommand(t)}
	if !playable(t) {
		l.Unplayable = errNoAudio.Error()
		return l, nil
	}
	l.Timeline = make(detect.Values, len(t.Loudness.TimelineLUFS))
	for i, v := range t.Loudness.TimelineLUFS {
		l.Timeline[i] = v + t.PlayedGainLU()
	}
	moves, err := s.movesOf(ctx, t)
	if err != nil {
		return l, err
	}
	for i := range moves {
		l.Moves = append(l.Moves, moves[i].Setting())
	}
	l.MovesHead = movedHeadroom(t, moves)
	beside := besides(t, tracks, page.References(tracks, s.opts.Judge))
	if err := s.store.Fill(ctx, beside); err != nil { // lists do without what is needed of the beat
		return l, err
	}
	for _, o := range beside {
		o := newSide(o, besideWords(t, o))
		if o.Version = isVersion(t, o.ID); o.Version {
			o.Label = "same music: " + o.Label
		}
		l.Beside = append(l.Beside, o)
	}
	return l, nil
}

// isVersion tells that a track holds the same music as t.
func isVersion(t *library.Track, id int64) bool {
	return t.Versions != nil && slices.ContainsFunc(t.Versions.Tracks, func(v library.Version) bool { return v.ID == id && !v.Part })
}

// besides are copies of the tracks that can be heard beside t: first those with the same music,
// then references, the nearest in tempo and key first.
func besides(t *library.Track, tracks []library.Track, refs []*library.Track) []*library.Track {
	var all, near []*library.Track
	for i := range tracks {
		if o := &tracks[i]; isVersion(t, o.ID) && playable(o) && len(all) < maxBeside {
			all = append(all, o)
		}
	}
	for _, r := range refs {
		if r.ID != t.ID && playable(r) && !isVersion(t, r.ID) {
			near = append(near, r)
		}
	}
	slices.SortStableFunc(near, func(a, b *library.Track) int {
		return cmp.Or(cmp.Compare(distance(t, a), distance(t, b)), cmp.Compare(a.Path, b.Path))
	})
	all = append(all, near[:min(maxBeside, len(near))]...)
	for i, o := range all {
		o := *o
		all[i] = &o
	}
	return all
}

// scanCommand measures the folder of a track anew.
func scanCommand(t *library.Track) string { return `dubgauge scan "` + words.OneLine(t.Root) + `"` }
