// Package advice says what to change in a track so that its spectrum stands among those
// of its references: the deviation of its third octaves from the group's median, folded
// by least squares into at most four filters of an equaliser that a producer can dial in.
//
// Spectra are those of the loudest 30 s, each against its own loudness, and a level that
// is common to all bands is left free beside that: a global gain is no move. What is
// normal is the group's 10th to 90th percentile in each band. A move is advised where
// what it takes back lies outside of that on the whole, and is 1.5 dB or more; none is
// of more than 12 dB. Bands count by how little the group differs in them.
//
// The lowest and the highest third octave (20 Hz and 20 kHz) are left out, as are bands
// above the track's own bandwidth: what is there comes from cuts and encoders. A third
// octave is the finest that is seen: a resonance is placed to within half of one. Levels
// are in dB, frequencies in hertz.
package advice

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/standout"
)

const (
	// Least is the smallest gain in dB that is advised, as by package standout: what is
	// just heard in the low end from track to track.
	Least = standout.AudibleLowEnd
	// FewestReferences serve for a range; as for a verdict.
	FewestReferences = standout.MinGroup
)

// Move is one filter to dial in.
type Move struct {
	Filter reason.Filter `json:"filter"`
	Hz     detect.Value  `json:"hz"`
	DB     detect.Value  `json:"db"`     // what to dial in
	Q      detect.Value  `json:"q"`      // 0.7 for a shelf, which has slope 1
	OffDB  detect.Value  `json:"off_db"` // how far the track lies off its references there
	// Above: the part below is as strong as theirs, and what lies above it too strong.
	Above bool `json:"above,omitempty"`
	// ByEar: it is for the top, where records of the kind differ by as much as this track.
	ByEar bool `json:"by_ear,omitempty"`

	shape shape
}

// Rest is what remains outside the range behind all moves.
type Rest struct {
	FromHz detect.Value `json:"from_hz"`
	ToHz   detect.Value `json:"to_hz"`
	OffDB  detect.Value `json:"off_db"` // the most that it lies outside
}

// Advice is what to change. Lists of bands have one value a third octave, as the
// spectrum of the record has them; None where a band takes no part.
type Advice struct {
	References int    `json:"references"`
	Moves      []Move `json:"moves"` // from the lowest up
	Rest       []Rest `json:"rest"`
	// OffDB is how far each band lies from the group's median, LowDB and HighDB where
	// its 10th and 90th percentile lie from it, and LeftDB what the moves leave.
	OffDB  detect.Values `json:"off_db"`
	LowDB  detect.Values `json:"low_db"`
	HighDB detect.Values `json:"high_db"`
	LeftDB detect.Values `json:"left_db"`
	// Inside counts bands in the range, of Bands, before and behind the moves.
	Bands        int `json:"bands"`
	InsideBefore int `json:"inside_before"`
	InsideAfter  int `json:"inside_after"`
	// Sides is nil for a track that has not two channels.
	Sides *Sides `json:"sides,omitempty"`
	// Bottom is nil where neither kick nor sub is known.
	Bottom *Bottom `json:"bottom,omitempty"`
	// TooFar are the places that lie off by more than an equaliser mends, which no verdict
	// has named.
	TooFar []TooFar `json:"too_far,omitempty"`
	// Unlike: no reference is like the track, so it is not held against them.
	Unlike bool `json:"unlike,omitempty"`
	// Passed: the verdict has named nothing of the balance.
	Passed bool `json:"passed,omitempty"`

	asked bool // the verdict asks a question of what moves would have been for
}

// TooFew tells that the references have no range to advise by.
func (a *Advice) TooFew() bool { return a.References < FewestReferences }

// Few tells that they are so few that it is said.
func (a *Advice) Few() bool { return a.References < standout.Few }

// Of advises on a track with this spectrum and level (loudest 30 s, LUFS) beside a group
// of references, whose spectra and levels go in step, where no verdict is known but the
// filters that one has named.
func Of(own detect.Spectrum, level detect.Value, spectra []detect.Spectrum, levels []detect.Value, said ...Said) Advice {
	return After(Verdict{Said: said}, own, level, spectra, levels)
}

// After is the advice behind a verdict: it begins with what that has said and does not
// contradict it.
func After(v Verdict, own detect.Spectrum, level detect.Value, spectra []detect.Spectrum, levels []detect.Value) Advice {
	a := Advice{Moves: []Move{}, Rest: []Rest{}, Unlike: v.Unlike, Passed: v.passed()}
	for i := range spectra {
		if levels[i].Exists() && len(spectra[i].LoudestDB) > 0 {
			a.References++
		}
	}
	if a.Unlike || a.TooFew() || !level.Exists() || len(own.LoudestDB) == 0 {
		return a
	}
	low, middle, high := standout.Bands(spectra, levels)
	c := curveOf(own, level, low, middle, high)
	if len(c.band) < fewestBands {
		return a
	}
	c.verdict = v
	c.told = c.judgeTop(own, spectra, v.Said)
	m := c.advised(c.told)
	var offs []float64
	offs, a.TooFar, a.asked = c.holdBack(&m)
	c.report(&a, &m, offs, len(own.LoudestDB))
	absolute := float64(level) - medianLevel(spectra, levels)
	for i := range a.Moves {
		a.Moves[i].Above = a.Moves[i].comesFromAbove(absolute)
	}
	return a
}

// comesFromAbove tells a low shelf whose cause is not below: by how much the track is
// louder than its references is how much more of the bottom it would have if all of it
// were as theirs. Where that is most of what the bottom lacks, the bottom itself stands
// where theirs does, and the rest has been pushed beyond it; the same the other way.
func (m *Move) comesFromAbove(louder float64) bool {
	off := float64(m.OffDB)
	return m.shape.filter == reason.LowShelf && math.Abs(off+louder) < math.Abs(off)/2
}

// fewestBands to fold: with fewer there is no curve.
const fewestBands = 12

// first and last third octave that take part: 25 Hz and 16 kHz.
const firstBand, lastBand = 1, spectrum.Bands - 2

// quietest is how far under the strongest band of the group a band may lie, dB: below, it
// is leakage, dither and rumble.
const quietest = 60.0

// Sentences puts the advice into words, one move a sentence. named tells that a verdict
// has named a filter already.
func (a *Advice) Sentences(named bool) []string {
	switch {
	case a.Unlike:
		return []string{reason.NoneAlike}
	case a.TooFew():
		return []string{reason.TooFewToAdvise(a.References, FewestReferences)}
	}
	var rest []reason.Outside
	for _, r := range a.Rest {
		rest = append(rest, reason.Outside{From: float64(r.FromHz), To: float64(r.ToHz), Off: float64(r.OffDB)})
	}
	var out []string
	if s := a.opening(named, len(rest) > 0); s != "" {
		out = append(out, s)
	}
	for _, m := range a.Moves {
		out = append(out, m.said().Sentence())
	}
	for _, f := range a.TooFar {
		out = append(out, reason.Advised{Filter: f.Filter, Hz: float64(f.Hz), Off: float64(f.OffDB)}.Sentence())
	}
	if s := reason.Remains(rest, a.Passed); s != "" {
		out = append(out, s)
	}
	return append(out, reason.MoveCaution(a.References, a.Few()))
}

// opening goes before the moves, or stands in their place; rest tells that something remains.
func (a *Advice) opening(named, rest bool) string {
	switch {
	case len(a.Moves) > 0 && named:
		return reason.Finer
	case len(a.Moves) > 0 && a.Passed:
		return reason.ToTaste
	case len(a.Moves) > 0 || len(a.TooFar) > 0:
		return ""
	case named && a.asked:
		return reason.NotEqualiser
	case rest:
		return reason.NoMovesButRest
	}
	return reason.NoMoves
}

// Setting is what to dial in, in words.
func (m *Move) Setting() string { return m.said().Setting() }

// said is the move as it is put into words.
func (m *Move) said() reason.Advised {
	return reason.Advised{Filter: m.Filter, Hz: float64(m.Hz), DB: float64(m.DB), Q: float64(m.Q), Off: float64(m.OffDB), Above: m.Above, ByEar: m.ByEar}
}

// At is what the move does at a frequency in hertz, dB.
func (m *Move) At(hz float64) float64 { return m.shape.at(hz) }
