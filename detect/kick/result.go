package kick

import (
	"math"
	"slices"
)

// Grid is the beat, of package tempo.
type Grid struct{ BPM, FirstBeat, Confidence float64 }

// sure is the confidence of a tempo from which its grid serves.
const sure = 0.6

// Result of a track; see the package comment.
type Result struct {
	Kicks    int     // that were found in the part that was kept
	OverBass float64 // dB
	Dip      float64 // dB, at most deepest
	Back     float64 // seconds
	Phase            // where the bass does not go down at the kicks
	Sub
}

const (
	kickSeconds = 0.100 // of the kick that its level is of
	// between are the parts of the time from kick to kick that the bass is measured in:
	// the kick is gone, and the next has not come.
	betweenFrom = 0.6
	dipSeconds  = 0.120 // in which the bass goes down
	// deepest dip that is told: kicks differ among themselves by that much.
	deepest = 24.0
	// leastBack is the dip from which there is something to come back from, dB.
	leastBack = 3.0
	// oneThing is the share of the power between the kicks that comes back alike from
	// which kick and bass are one sound.
	oneThing = 0.5
	// allOne is the share from which what is left is the rest of a kick: 1 of a kick alone.
	allOne = 0.95
	// lasts is the share of the power of the first 100 ms that what lasts has between the kicks, 3 dB
	// under them: a kick dies away by 20 dB and more.
	lasts = 0.5
	// sameCents is how far apart two measures of one note of the sub may be.
	sameCents = 20.0
	// noBass is how far under the kick there is none, dB.
	noBass = 30.0
)

// none is a result of nothing.
func none() Result {
	n := math.NaN()
	return Result{OverBass: n, Dip: n, Back: n, Phase: noPhase(), Sub: noSub()}
}

// Result measures what was written. The pitch of the sub needs no beat; where there is one, it is
// that of what is left when the kick is taken away. Where kick and bass are one sound, that may be
// some rest of both, so that it has to be the same with the kick.
func (m *Meter) Result(g Grid) Result {
	r := none()
	x, start := m.kept()
	if len(x) < int(4*m.rate) {
		return r
	}
	b, ok := m.hits(x, start, g)
	if !ok {
		r.Sub = subOf(x, m.rate)
		return r
	}
	r.Kicks = len(b.hits)
	bass := b.bass()
	between, alike := b.between(bass)
	r.Sub = subOf(b.without(x), m.rate)
	if alike > oneThing {
		r.Sub = b.confirmed(r.Sub, subOf(x, m.rate), alike)
		return r
	}
	r.OverBass = 10 * math.Log10(b.level()/between)
	if r.OverBass > noBass {
		r.OverBass, r.Hz = math.NaN(), math.NaN()
		return r
	}
	notes := b.held()
	if len(notes) == 0 {
		return r
	}
	r.Dip, r.Back = b.dip(notes)
	if r.Dip < openDip {
		r.Phase = b.phase(notes)
	}
	return r
}

// confirmed is the sub of kick and bass that are one sound: its note has to be the same without what is
// alike each time and with it. Where next to all is alike, there is one only if that does not fall from
// kick to kick as a kick does.
func (b *bottom) confirmed(without, with Sub, alike float64) Sub {
	agree := math.Abs(1200*math.Log2(with.Hz/without.Hz)) < sameCents
	if alike > allOne {
		agree = meanPower(b.kick[int(betweenFrom*float64(b.length)):]) > lasts*b.level()
	}
	if !agree {
		with.Hz = math.NaN()
	}
	return with
}

// level is the mean power of the kick.
func (b *bottom) level() float64 { return meanPower(b.kick[:min(b.samples(kickSeconds), b.length)]) }

// hits are the kicks on a grid; none where nobody is sure of it.
func (m *Meter) hits(x []float32, start float64, g Grid) (*bottom, bool) {
	if !(g.Confidence >= sure) || !(g.BPM > 0) || math.IsNaN(g.FirstBeat) {
		return nil, false
	}
	return hitsOf(x, m.rate, start, g)
}

// without is x, of which b was made, without its kicks.
func (b *bottom) without(x []float32) []float32 {
	out := slices.Clone(x)
	for _, at := range b.hits {
		for i := (at + finer - 1) / finer; i < len(out) && i*finer-at < len(b.kick); i++ {
			out[i] -= real(b.kick[i*finer-at])
		}
	}
	return out
}

// bass is the mean power of what is not alike from kick to kick, by the time since the
// attack.
//
//	E[t] = sum over kicks of |y - mean of y|^2 / (n - 1)
func (b *bottom) bass() []float64 {
	out := make([]float64, b.length)
	for _, at := range b.hits {
		for i := range out {
			out[i] += power(b.y[at+i] - b.kick[i])
		}
	}
	for i := range out {
		out[i] /= float64(len(b.hits) - 1)
	}
	return out
}

// between is the power of the bass between the kicks, and which share of all that sounds
// there is alike each time.
func (b *bottom) between(bass []float64) (level, alike float64) {
	from := int(betweenFrom * float64(b.length))
	for _, p := range bass[from:] {
		level += p / float64(b.length-from)
	}
	same := meanPower(b.kick[from:])
	return level, same / (same + level)
}
