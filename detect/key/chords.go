package key

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// Chords are decoded with a hidden Markov model whose states are the 24 major and minor
// triads, as in K. Lee & M. Slaney, "Acoustic chord transcription and key extraction from
// audio using key-dependent HMMs", IEEE Trans. Audio, Speech and Language Processing 16/2
// (2008). Here all keys share one model, and what it hears is weighed key by key (see
// chordWeights), so that it need not know the key first.
//
// A chord's number is its root in semitones above C, 12 more for a minor one: that of the
// key whose tonic chord it is.
const chordCount = 24

const (
	// chordStays is the chance that a chord goes on from one moment to the next: it then
	// lasts 3.7 s in the mean, a bar or two. All others are as likely to follow it.
	chordStays = 0.85
	// chordLikeness is by how much a moment's likelihood grows from no likeness with the
	// tones of a chord to all, chordRoot from no share of its root in the bass to all, in
	// natural logarithms. On the yardstick the answers hardly change with 12 to 30 and 1 to 10;
	// in published music the bass tells the root where other notes do not.
	chordLikeness = 20
	chordRoot     = 10
	// otherTones is how much third and fifth count beside the root.
	otherTones = 0.8
	// chordFull is the share of the notes of a full moment from which a chord is heard.
	chordFull = 0.3
	// enoughMoves is the number of changes of chord from which they count in full.
	enoughMoves = 3
	// An opening is where chords come in after at least openingAfter moments, 4.5 s, without:
	// its first openingLasts moments, 1.7 s, are mostly the tonic.
	openingAfter = 8
	openingLasts = 3
	// Of a section the first chord is that of entersLasts moments, 1.1 s, after entersAfter: its
	// place may be a moment off, and what was before rings on.
	entersAfter = 1
	entersLasts = 2
)

// perChord is a number for each chord.
type perChord [chordCount]float64

// harmony is what the chords of a stretch say.
type harmony struct {
	sounding perChord             // for how many moments each sounds
	moves    [chordCount]perChord // how often each goes over to each other one
	opening  perChord             // how likely each opens the track
	entering perChord             // how likely each sounds where a section begins, times its step
	entries  float64              // the sum of these steps
}

func (h *harmony) add(o *harmony) {
	h.entries += o.entries
	for c := range h.sounding {
		h.sounding[c] += o.sounding[c]
		h.opening[c] += o.opening[c]
		h.entering[c] += o.entering[c]
		for to := range h.moves[c] {
			h.moves[c][to] += o.moves[c][to]
		}
	}
}

// decoding tells which chord sounds in each moment.
type decoding struct {
	full    []bool
	past    []perChord // chance of each chord by what came before and now
	onward  []perChord // how well each explains what comes from now on, up to a factor
	chance  []perChord // of each chord by all that sounds
	opening int        // the moment in which chords come in, -1 where they do not come in late
	steps   []float64  // where sections begin, see steps
}

// decodeChords is the forward-backward algorithm: L. R. Rabiner, "A tutorial on hidden Markov
// models", Proc. IEEE 77/2 (1989). rate is how full of notes each moment is.
func decodeChords(x []sounds, rate []float64) *decoding {
	n := len(x)
	d := &decoding{make([]bool, n), make([]perChord, n), make([]perChord, n), make([]perChord, n), -1, make([]float64, n)}
	if n == 0 {
		return d
	}
	sorted := slices.Sorted(slices.Values(rate))
	least := max(chordFull*dsp.Quantile(sorted, fullShare), leastWeight)
	before := perChord{}
	for i := range x {
		if d.full[i] = rate[i] >= least; d.full[i] {
			d.past[i] = x[i].likelihoods()
		} else {
			d.past[i] = perChord{}
			d.past[i].fill(1)
		}
		d.onward[i] = d.past[i]
		if i > 0 {
			before = d.past[i-1].moved()
			d.past[i].times(&before)
		}
		d.past[i].normalise()
	}
	after := perChord{}
	after.fill(1)
	for i := n - 1; i >= 0; i-- {
		d.chance[i] = d.past[i]
		d.chance[i].times(&after)
		d.chance[i].normalise()
		d.onward[i].times(&after)
		d.onward[i].normalise()
		after = d.onward[i].moved()
	}
	if first := slices.Index(d.full, true); first >= openingAfter {
		d.opening = first
	}
	return d
}

// likelihoods of the chords, by their tones and by the bass, with c the pitch classes of a
// moment, t those of the chord and b the share of its root in the bass:
//
//	exp(chordLikeness c.t / (|c| |t|) + chordRoot b)
func (s *sounds) likelihoods() (l perChord) {
	length, bass := 0.0, bassFloor*s.weight
	for i, v := range s.all {
		length += v * v
		bass += s.bass[i]
	}
	length = math.Sqrt(length * (1 + 2*otherTones*otherTones))
	top := 0.0
	for c := range l {
		root, third := c%12, 4-c/12
		tones := s.all[root] + otherTones*(s.all[(root+third)%12]+s.all[(root+7)%12])
		l[c] = chordLikeness*tones/length + chordRoot*s.bass[root]/bass
		top = max(top, l[c])
	}
	for c := range l {
		l[c] = math.Exp(l[c] - top)
	}
	return l
}

// tell adds to h what moment i says.
func (d *decoding) tell(i int, h *harmony) {
	if i == d.opening {
		for _, p := range d.chance[i:min(i+openingLasts, len(d.chance))] {
			for c, v := range p {
				h.opening[c] += v / openingLasts
			}
		}
	}
	if d.steps[i] > 0 {
		d.enter(i, h)
	}
	if !d.full[i] {
		return
	}
	for c, v := range d.chance[i] {
		h.sounding[c] += v
	}
	if i > 0 && d.full[i-1] {
		d.move(i, h)
	}
}

// enter adds how likely each chord sounds in the section that begins in moment i, as far as it
// is full.
func (d *decoding) enter(i int, h *harmony) {
	for j := i + entersAfter; j < min(i+entersAfter+entersLasts, len(d.chance)); j++ {
		if !d.full[j] {
			continue
		}
		h.entries += d.steps[i] / entersLasts
		for c, v := range d.chance[j] {
			h.entering[c] += d.steps[i] / entersLasts * v
		}
	}
}

// move adds how likely each chord gives way to each other one before moment i.
func (d *decoding) move(i int, h *harmony) {
	past, onward := &d.past[i-1], &d.onward[i]
	all, same := 0.0, 0.0
	for c, v := range past {
		same += v * onward[c]
		all += v
	}
	sum := 0.0
	for _, v := range onward {
		sum += v
	}
	const goes = (1 - chordStays) / (chordCount - 1)
	norm := goes / (goes*(all*sum-same) + chordStays*same)
	for from, v := range past {
		for to, w := range onward {
			if from != to {
				h.moves[from][to] += norm * v * w
			}
		}
	}
}

// moved is what the chances become from one moment to the next.
func (p *perChord) moved() (q perChord) {
	const goes = (1 - chordStays) / (chordCount - 1)
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	for c, v := range p {
		q[c] = goes*(sum-v) + chordStays*v
	}
	return q
}

func (p *perChord) fill(v float64) {
	for c := range p {
		p[c] = v
	}
}

func (p *perChord) times(q *perChord) {
	for c := range p {
		p[c] *= q[c]
	}
}

// normalise makes the chances sum to 1.
func (p *perChord) normalise() {
	sum := 0.0
	for _, v := range p {
		sum += v
	}
	for c := range p {
		p[c] /= sum
	}
}
