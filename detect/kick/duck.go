package kick

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

const (
	// leastVaried is the least share of the power of the notes that their mean does not have: kick and
	// note are told apart by what differs from kick to kick.
	leastVaried = 0.3
	// smooth is how long the gain is a mean over, seconds: with less, the least of it is the noise of
	// 20 to 60 kicks. Ducking holds for some 30 ms (common practice, no source).
	smooth = 0.035
	// sparse is every how many samples the gain is looked at: 2.9 ms.
	sparse = 2 * coarser
	// rounds of kick and gain in turn; a fourth changes nothing by 0.1 dB.
	rounds = 3
	// surely is how far apart the quartiles of n gains may be, times 1/sqrt(n) and in parts of their
	// median: its standard error is 0.93 of that, so that it is known to 12 %, which is 1 dB. What is
	// cut off altogether is never known as well.
	surely = 0.13
)

// ducking is what held notes do at their kicks, by the time since half of smooth before the attack:
//
//	y of kick k at t = kick[t] + g[t] note k [t]
type ducking struct {
	y, notes [][]complex128 // of each kick
	gains    [][]float64    // of each kick, 1 where its note is as before
	g        []float64      // the median of them
	step     float64        // seconds
	half     int            // of smooth, steps
}

// duckingOf lays out what sounds at the kicks that notes are held through; ok is false where the notes
// are too much alike.
func (b *bottom) duckingOf(notes []heldNote) (d *ducking, ok bool) {
	d = &ducking{step: sparse / b.rate}
	d.half = int(smooth / 2 / d.step)
	n := b.length/sparse + 2*d.half
	d.g = make([]float64, n)
	sum := make([]complex128, n)
	all, alike := 0.0, 0.0
	for k := range notes {
		y, note := make([]complex128, n), make([]complex128, n)
		for i := range n {
			at := min(len(b.y)-1, notes[k].at+(i-d.half)*sparse)
			y[i], note[i] = complex128(b.y[at]), notes[k].run.at(at, b.rate)
			sum[i] += note[i]
		}
		all += notes[k].amplitude * notes[k].amplitude
		d.y, d.notes, d.gains = append(d.y, y), append(d.notes, note), append(d.gains, make([]float64, n))
	}
	for _, s := range sum {
		alike += square(s) / float64(n*len(notes))
	}
	return d, alike <= (1-leastVaried)*all
}

func square(z complex128) float64 { return real(z)*real(z) + imag(z)*imag(z) }

// along is the part of z that is in phase with a note, of both amplitudes.
func along(z, note complex128) float64 { return real(z)*real(note) + imag(z)*imag(note) }

// solve finds kick and gain in turn. It begins with the least squares of both and goes on with the
// median of the gains, for which a few notes that end or begin by chance in phase do not count.
func (d *ducking) solve() {
	n := complex(float64(len(d.notes)), 0)
	own := make([]float64, len(d.notes))
	for i := range d.g {
		var note, y complex128
		both, all := 0.0, 0.0
		for k := range d.notes {
			note += d.notes[k][i]
			y += d.y[k][i]
			both += along(d.y[k][i], d.notes[k][i])
			all += square(d.notes[k][i])
		}
		d.g[i] = (both - along(y/n, note)) / (all - along(note/n, note))
	}
	for range rounds {
		for i, g := range d.g {
			var kick complex128
			for k := range d.notes {
				kick += (d.y[k][i] - complex(g, 0)*d.notes[k][i]) / n
			}
			for k := range d.notes {
				d.gains[k][i] = along(d.y[k][i]-kick, d.notes[k][i]) / square(d.notes[k][i])
			}
		}
		for i := range d.g {
			d.g[i] = dsp.Quantile(d.around(i, own), 0.5)
		}
	}
}

// around puts the gains of the kicks about a time into out, in order.
func (d *ducking) around(i int, out []float64) []float64 {
	from, to := max(0, i-d.half), min(len(d.g), i+d.half+1)
	for k := range out {
		sum := 0.0
		for _, v := range d.gains[k][from:to] {
			sum += v
		}
		out[k] = sum / float64(to-from)
	}
	slices.Sort(out)
	return out
}

// sure tells whether the kicks agree about the gain at a time.
func (d *ducking) sure(i int) bool {
	own := d.around(i, make([]float64, len(d.gains)))
	return dsp.Quantile(own, 0.75)-dsp.Quantile(own, 0.25) <= surely*d.g[i]*math.Sqrt(float64(len(own)))
}

// dip is by how much notes go down at the kicks that they are held through, dB, and how many seconds
// after the attack they are back; NaN where the kicks don't agree.
func (b *bottom) dip(notes []heldNote) (down, back float64) {
	d, ok := b.duckingOf(notes)
	if !ok {
		return math.NaN(), math.NaN()
	}
	d.solve()
	low := d.half
	for i := range int(dipSeconds / d.step) {
		if at := d.half + i; at < len(d.g)-d.half && d.g[at] < d.g[low] {
			low = at
		}
	}
	if !d.sure(low) {
		return math.NaN(), math.NaN()
	}
	down = min(deepest, max(0, -dB(d.g[low])))
	if down < leastBack {
		return down, math.NaN()
	}
	for i := low; i < len(d.g)-d.half; i++ {
		if d.g[i] >= math.Sqrt2/2 {
			return down, float64(i-d.half) * d.step
		}
	}
	return down, math.NaN()
}
