package export

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dubgauge/detect"
	"dubgauge/library"
)

// maxBeside is how many references are offered to listen to beside a track.
const maxBeside = 60

// baseHeadroom in dB is how far every segment is turned down before it is sent,
// so that peaks above full scale, which float and lossy files hold, are not cut.
// The reasons for 6 dB: decoded MP3 passes full scale by 2.3 dB at most on what
// was measured, and 24 bits lose nothing of use by it.
const baseHeadroom = 6.0

// listen is what the page needs to play a track beside its references.
type listen struct {
	Track      side
	References []side
	Seconds    int
}

type side struct {
	ID                   int64
	Label                string
	LUFS, Headroom, Trim string
}

// headroom in dB by which a track's segment is turned down: more than usual
// where the true peak asks for it.
func headroom(t *library.Track) float64 {
	if p := float64(t.Peak.TruePeakDBTP); p > baseHeadroom {
		return math.Ceil(p)
	}
	return baseHeadroom
}

// twoSpeakers in LU is what a track of one channel gains when it is played by two
// loudspeakers: 10 log10(2), ITU-R BS.1770-5 summing channels.
const twoSpeakers = 3.0103

func newSide(t *library.Track, label string) side {
	level := t.Loudness.Loudest30sLUFS
	if t.Measurement.File.Channels == 1 {
		level += twoSpeakers
	}
	s := side{ID: t.ID, Label: label, LUFS: number(level, 4), Headroom: number(detect.Value(headroom(t)), 0)}
	s.Trim = number(Trims(t).SafeDB, 1)
	return s
}

// playable: there is sound, and a file to take it from.
func playable(t *library.Track) bool {
	return t.Loudness.Loudest30sLUFS.Exists() && !t.Missing()
}

// newListen offers references, the nearest in tempo and key first; nil when the
// track itself cannot be played.
func newListen(t *library.Track, refs []*library.Track) *listen {
	l := &listen{Track: newSide(t, Name(t)), Seconds: segmentSeconds}
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

// What a difference counts for when references are put in order, in percent of
// tempo: a key that fits badly weighs as much as so much tempo. Our judgement,
// no source.
const (
	unknownTempo = 20.0
	unknownKey   = 3.0
)

// distance says how far r is from being mixed with t, 0 being nearest.
func distance(t, r *library.Track) float64 {
	d := unknownTempo
	if p := tempoOff(t, r); p.Exists() {
		d = math.Abs(float64(p))
	}
	if _, weight := relation(keyName(t), keyName(r)); weight >= 0 {
		return d + weight
	}
	return d + unknownKey
}

// tempoOff is how much faster r is than t in percent, octaves folded.
func tempoOff(t, r *library.Track) detect.Value {
	a, b := float64(Tempo(t)), float64(Tempo(r))
	if !(a > 0) || !(b > 0) {
		return detect.None
	}
	octaves := math.Log2(b / a)
	return detect.Value((math.Exp2(octaves-math.Round(octaves)) - 1) * 100)
}

// pitches are the names of the twelve pitch classes as records spell them.
var pitches = []string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// parseKey reads "A minor"; ok is false for anything else.
func parseKey(s string) (pitch int, minor, ok bool) {
	tonic, mode, _ := strings.Cut(s, " ")
	pitch = slices.Index(pitches, tonic)
	return pitch, mode == "minor", pitch >= 0 && (mode == "minor" || mode == "major")
}

// relation names how key b stands to key a in music theory, and weighs it in
// percent of tempo; -1 when either is not known.
func relation(a, b string) (words string, weight float64) {
	p, pm, ok1 := parseKey(a)
	q, qm, ok2 := parseKey(b)
	if !ok1 || !ok2 {
		return "", -1
	}
	up := (q - p + 12) % 12
	switch {
	case up == 0 && pm == qm:
		return "same key", 0
	case pm && !qm && up == 3, !pm && qm && up == 9:
		return "relative key", 0.5
	case pm == qm && up == 7:
		return "a fifth up", 1
	case pm == qm && up == 5:
		return "a fifth down", 1
	case up == 0:
		return "parallel key", 1.5
	}
	return "another key", 4
}

// besideWords names a reference to choose.
func besideWords(t, r *library.Track) string {
	var parts []string
	if v := Tempo(r); v.Exists() {
		s := decimals(v, 1) + " BPM"
		if off := tempoOff(t, r); off.Exists() {
			s += fmt.Sprintf(" (%s %%)", cmp.Or(signed(off, 1), "0.0"))
		}
		parts = append(parts, s)
	}
	if k := clean(keyName(r)); k != "" {
		if words, weight := relation(keyName(t), keyName(r)); weight >= 0 {
			k += ", " + words
		}
		parts = append(parts, k)
	}
	if len(parts) == 0 {
		return Name(r)
	}
	return Name(r) + ": " + strings.Join(parts, ", ")
}
