package live

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect"
	"dubgauge/export/page"
	"dubgauge/export/words"
	"dubgauge/library"
)

// maxBeside is how many references are offered to listen to beside a track.
const maxBeside = 60

// baseHeadroom in dB is how far every segment is turned down before it is sent,
// so that peaks above full scale, which float and lossy files hold, are not cut.
// The reasons for 6 dB: decoded MP3 passes full scale by 2.3 dB at most on what
// was measured, and 24 bits lose nothing of use by it.
const baseHeadroom = 6.0

// headroom in dB by which a track's segment is turned down: more than usual
// where the true peak asks for it.
func headroom(t *library.Track) float64 {
	if p := float64(t.Peak.TruePeakDBTP); p > baseHeadroom {
		return math.Ceil(p)
	}
	return baseHeadroom
}

func newSide(t *library.Track, label string) page.Side {
	s := page.Side{ID: t.ID, Label: label, LUFS: words.Data.Number(t.PlayedLUFS(), 4), Headroom: words.Data.Number(detect.Value(headroom(t)), 0)}
	s.Trim = words.Data.Number(t.Trim.TrimDB, 1)
	return s
}

// playable: there is sound, and a file to take it from.
func playable(t *library.Track) bool {
	return t.Loudness.Loudest30sLUFS.Exists() && !t.Missing()
}

// newListen offers references, the nearest in tempo and key first; nil when the
// track itself cannot be played.
func newListen(t *library.Track, refs []*library.Track) *page.Listen {
	if !playable(t) {
		return nil
	}
	l := &page.Listen{Track: newSide(t, words.Name(t)), Seconds: segmentSeconds}
	var near []*library.Track
	for _, r := range refs {
		if r.ID != t.ID && playable(r) {
			near = append(near, r)
		}
	}
	slices.SortStableFunc(near, func(a, b *library.Track) int {
		return cmp.Or(cmp.Compare(distance(t, a), distance(t, b)), cmp.Compare(a.Path, b.Path))
	})
	for _, r := range near[:min(maxBeside, len(near))] {
		l.References = append(l.References, newSide(r, besideWords(t, r)))
	}
	return l
}
