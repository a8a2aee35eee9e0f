package transfer

import (
	"math"
	"slices"

	"dubgauge/detect/dsp/fourier"
)

const (
	// wowSegment is how many steps are transformed at a time: 190 s at 44.1 kHz, about
	// a hundred turns of a record.
	wowSegment = 2048
	// wowLeast is the least number of steps that say anything: 40 s.
	wowLeast = 430
	// wowFrom and wowTo bound what is called wow, in hertz. Above, frames of 0.19 s see
	// little of it.
	wowFrom, wowTo = 0.3, 2.4
	// wowStands is how far the product of the two bands must stand over the noise that
	// either has nearby; wowTurns the same at the speeds of a turntable, where it is
	// looked for. Of 36 clean songs used for fitting 32 lie below 2.3 there.
	wowStands, wowTurns = 10.0, 4.5
	// wowBeat is what the threshold is multiplied by at the rate of the bar, its
	// multiples and its quarters, where music repeats itself; at the speeds of a
	// turntable only at the bar and its multiples, as quarters of bars are near one in
	// every fifth tempo.
	wowBeat = 4.5
	// wowPlain is how far past its threshold a wow must be that is more than slight.
	wowPlain = 4.0
	// wowNear is how near a frequency is the same, in hertz; wowBeatNear the same of
	// the bar, over which tempi are not exact.
	wowNear, wowBeatNear = 0.007, 0.015
	// wowSlight is the least swing that is named at the speeds of a turntable, in percent
	// of the pitch as found, and wowElsewhere at all others: with 0.04 % at both, 20 of
	// 162 clean songs were named, half of a 0.2 % wow not, and of one of 0.5 % two of nine
	// not. Seen on the showing half of the bench too.
	wowSlight, wowElsewhere = 0.2, 0.35
	// wowAround is how many bins to either side are the noise, but for wowSelf next to
	// the line.
	wowAround, wowSelf = 16, 2
	// wowSilent is the least noise that is counted on, percent squared.
	wowSilent = 1e-9
)

// turntables are the turns a second of 33 1/3 and 45 a minute.
var turntables = [...]float64{100.0 / 180, 0.75}

// wowLine is what the bands have at one frequency of the swing, percent squared.
type wowLine struct {
	hz    float64
	cross float64 // of the two bands, the part in phase
	noise float64 // geometric mean of their powers
}

// wowTurning gathers the lines from the steps, segment by segment, each of which begins in
// the middle of the one before.
type wowTurning struct {
	rate  float64   // steps a second
	steps []wowStep // of the segment at hand
	fft   *fourier.Transform
	z     [wowBands][]complex64
	sums  []wowSum // by bin
	total float64  // steps that were transformed
}

// wowSum is what the segments so far have at a frequency.
type wowSum struct {
	cross float64
	power [wowBands]float64
}

func newWowTurning(rate float64) *wowTurning {
	t := &wowTurning{rate: rate, fft: fourier.New(wowSegment), steps: make([]wowStep, 0, wowSegment)}
	for b := range t.z {
		t.z[b] = make([]complex64, wowSegment)
	}
	t.sums = make([]wowSum, int(min(wowTo, 0.46*rate)/rate*wowSegment)+1)
	return t
}

// add takes the next step in.
func (t *wowTurning) add(s wowStep) {
	t.steps = append(t.steps, s)
	if len(t.steps) == wowSegment {
		t.total += t.transform(t.sums)
		t.steps = t.steps[:copy(t.steps, t.steps[wowSegment/2:])]
	}
}

// transform adds what the steps at hand have in both bands to sums, and gives their number.
// As a step is the change of the pitch from one frame to the next, a swing of a percent at f
// hertz has there
//
//	2 a sin(pi f / rate)
func (t *wowTurning) transform(sums []wowSum) float64 {
	n := float64(len(t.steps))
	for b := range t.z {
		segment(t.z[b], t.steps, b)
		t.fft.Do(t.z[b])
	}
	for k := 1; k < len(sums); k++ {
		place := t.fft.Place()[k]
		low, high := complex128(t.z[0][place]), complex128(t.z[1][place])
		gain := 1 / (2 * math.Sin(math.Pi*float64(k)/wowSegment))
		gain *= gain * n
		sums[k].cross += gain * re(low, high)
		sums[k].power[0] += gain * re(low, low)
		sums[k].power[1] += gain * re(high, high)
	}
	return n
}

// lines are those of all steps so far; nil where there are too few.
func (t *wowTurning) lines() []wowLine {
	if t.total == 0 && len(t.steps) < wowLeast {
		return nil
	}
	sums := slices.Clone(t.sums)
	total := t.total + t.transform(sums)
	out := make([]wowLine, len(sums))
	for k, s := range sums {
		out[k] = wowLine{float64(k) * t.rate / wowSegment, s.cross / total, math.Sqrt(s.power[0]*s.power[1]) / total}
	}
	return out
}

// re is the real part of a times the conjugate of b.
func re(a, b complex128) float64 { return real(a)*real(b) + imag(a)*imag(b) }

// segment puts the windowed steps of a band into z, in percent, so that a line has its
// amplitude. Steps weigh as many partials as they come from, four at most.
func segment(z []complex64, part []wowStep, band int) {
	const partials = 4
	clear(z)
	sum := 0.0
	for i, s := range part {
		h := (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(len(part)))) * min(partials, float64(s.weight[band]))
		sum += h
		z[i] = complex(float32(h*float64(s.change[band])), 0)
	}
	if sum < float64(len(part))/16 { // next to nothing that holds its pitch
		clear(z)
		return
	}
	gain := complex(float32(2*100/sum), 0)
	for i := range part {
		z[i] *= gain
	}
}

// swing is a wow that was found.
type swing struct {
	percent float64 // amplitude as found, a lower bound; 0 where there is none
	hz      float64
	score   float64 // against its threshold
	turns   bool    // at the speed of a turntable
	timed   bool    // told by what begins when; then the percent is what there is
}

// standing is the one of all swings of the pitch that stands out most against its own
// threshold, but for those that the beat denies.
func standing(all []swing, time *timing) (out swing) {
	best := 1.0
	for _, s := range all {
		least := wowElsewhere
		if s.turns {
			least = wowSlight
		}
		if s.hz >= wowFrom && s.percent >= least && s.score > best && !(s.turns && time.denies(s)) {
			best, out = s.score, s
		}
	}
	return out
}

// swings are those of all lines, each with its score.
func (w *wow) swings(b Beat) []swing {
	lines := w.turns.lines()
	out := make([]swing, 0, len(lines))
	noise := make([]float64, 0, 2*wowAround)
	for k := wowSelf + 1; k < len(lines)-1; k++ {
		l := lines[k]
		noise = noise[:0]
		for j := max(2, k-wowAround); j <= min(len(lines)-1, k+wowAround); j++ {
			if j < k-wowSelf || j > k+wowSelf {
				noise = append(noise, lines[j].noise)
			}
		}
		score := l.cross / (max(middle(noise), wowSilent) * wowThreshold(l.hz, b))
		out = append(out, swing{percent: math.Sqrt(max(0, l.cross)), hz: l.hz, score: score, turns: turns(l.hz)})
	}
	return out
}

func wowThreshold(hz float64, b Beat) float64 {
	limit, grid := wowStands, 0.25
	if turns(hz) {
		limit, grid = wowTurns, 1
	}
	if b.Confidence >= clickSure && b.BPM > 0 {
		bar := b.BPM / 60 / 4
		if math.Abs(math.Remainder(hz, grid*bar)) < wowBeatNear {
			limit *= wowBeat
		}
	}
	return limit
}

// plain tells that a wow is more than slight: strong, beyond doubt, and of a record.
// Elsewhere music swings so too: of 112 clean look-alikes two had 0.26 and 0.30 % at 1.6
// and 1.04 Hz.
func (s swing) plain() bool {
	if s.timed {
		return s.percent >= timeHeard
	}
	return s.percent >= wowHeard && s.score >= wowPlain && s.turns
}

// turns tells that a frequency in hertz is that of a turntable.
func turns(hz float64) bool {
	for _, turn := range turntables {
		if math.Abs(hz-turn) < wowNear {
			return true
		}
	}
	return false
}
