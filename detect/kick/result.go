package kick

import "math"

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
	// noBass is how far under the kick there is none, dB.
	noBass = 30.0
)

// none is a result of nothing.
func none() Result {
	n := math.NaN()
	return Result{OverBass: n, Dip: n, Back: n, Phase: noPhase(), Sub: noSub()}
}

// Result measures what was written. The pitch of the sub needs no beat.
func (m *Meter) Result(g Grid) Result {
	r := none()
	x, start := m.kept()
	if len(x) < int(4*m.rate) {
		return r
	}
	r.Sub = subOf(x, m.rate)
	if !(g.Confidence >= sure) || !(g.BPM > 0) || math.IsNaN(g.FirstBeat) {
		return r
	}
	b, ok := hitsOf(x, m.rate, start, g)
	if !ok {
		return r
	}
	r.Kicks = len(b.hits)
	bass := b.bass()
	between, alike := b.between(bass)
	if alike > oneThing {
		return r
	}
	kick := meanPower(b.kick[:min(b.samples(kickSeconds), b.length)])
	r.OverBass = 10 * math.Log10(kick/between)
	if r.OverBass > noBass {
		r.OverBass = math.NaN()
		return r
	}
	r.Dip, r.Back = b.dip(bass, between)
	if r.Dip < openDip && !math.IsNaN(r.Hz) {
		r.Phase = b.phase(analytic(x, m.rate, r.Hz/narrow, r.Hz*narrow, finer))
	}
	return r
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

// dip is by how much the bass goes down at a kick, and how long after the attack it is
// back.
func (b *bottom) dip(bass []float64, between float64) (dB, back float64) {
	low, at := math.Inf(1), 0
	for i, p := range bass[:min(b.samples(dipSeconds), len(bass))] {
		if p < low {
			low, at = p, i
		}
	}
	dB = min(deepest, max(0, 10*math.Log10(between/low)))
	if dB < leastBack {
		return dB, math.NaN()
	}
	for i, p := range bass[at:] {
		if p >= between/2 {
			return dB, float64(at+i) / b.rate
		}
	}
	return dB, math.NaN()
}
