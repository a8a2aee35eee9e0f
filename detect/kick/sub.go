package kick

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

// Sub is what is known of the lowest notes.
type Sub struct {
	Hz float64 // of the note that sounds most, NaN without a steady one
	Up float64 // share of the time that the bottom is within 10 dB of its full level, 0 to 1
}

func noSub() Sub { return Sub{math.NaN(), math.NaN()} }

// The sub is looked for from 24 to 84 Hz: G0 to E2. What is an octave above a line of it
// that is at most lowerDB weaker is its harmonic.
const (
	subFrom, subTo = 24.0, 84.0
	lowerDB        = 10.0
	frameSeconds   = 0.100
	// steadyPhase is how far the phase of a note may stray from a straight line within a
	// frame, radians, root mean square; a glide of a semitone in a frame has 0.07.
	steadyPhase = 0.08
	quietFrame  = 12.0 // dB under the loudest, from which one does not count
	upDB        = 10.0
	// holdShare is the least share of all power about the strongest frequency that is in
	// steady frames: 0.005 in noise, 0.5 and more where there are notes (tests).
	holdShare = 0.1
	// noteCents either side belong to a note.
	noteCents = 50.0
)

// tone is a frame that holds a steady note.
type tone struct{ hz, weight float64 }

// subOf measures the pitch that sounds most, and how much of the time there is one.
func subOf(x []float32, rate float64) Sub {
	t := transformed(x, rate)
	y := t.band(subFrom, subTo, 1)
	n := int(frameSeconds * rate)
	levels := make([]float64, 0, 2*len(y)/n)
	for at := 0; at+n <= len(y); at += n / 2 {
		levels = append(levels, meanPower(y[at:at+n]))
	}
	sorted := slices.Sorted(slices.Values(levels))
	full := sorted[len(sorted)*9/10]
	if !(full > 0) {
		return noSub()
	}
	up := 0.0
	for _, p := range levels {
		if p >= full*math.Pow(10, -upDB/10) {
			up++
		}
	}
	around := loudestLine(y, rate)
	z := t.band(around/narrow, around*narrow, 1)
	var tones []tone
	sounds, holds := 0.0, 0.0
	for at := 0; at+n <= len(z); at += n / 2 {
		p := meanPower(z[at : at+n])
		if p < full*math.Pow(10, -quietFrame/10) {
			continue
		}
		sounds += p
		if hz, ok := steady(z[at:at+n], rate); ok {
			tones = append(tones, tone{hz, p})
			holds += p
		}
	}
	if holds < holdShare*sounds {
		tones = nil
	}
	return Sub{Hz: mostHeard(tones), Up: up / float64(len(levels))}
}

// narrow is how far either side of the strongest frequency notes are looked at: a major
// third, so that no harmonic is among them.
const narrow = 1.26

// loudestLine is the frequency that has most power, to a hertz or so: by frames of two
// seconds.
func loudestLine(y []complex64, rate float64) float64 {
	const size = 2048
	f := fourier.New(size)
	var sums [size / 2]float64
	frame := make([]complex64, size)
	for at := 0; at < len(y); at += size / 2 {
		n := copy(frame, y[at:])
		clear(frame[n:])
		for i := range frame {
			frame[i] *= complex(float32(dsp.Hann(float64(i)+0.5, size)), 0)
		}
		f.Do(frame)
		for k := range sums {
			sums[k] += power(frame[f.Place()[k]])
		}
	}
	best := 1
	for k := range sums {
		if sums[k] > sums[best] {
			best = k
		}
	}
	for k := best/2 - 1; k <= best/2+1; k++ {
		if k > 0 && float64(k)*rate/size > subFrom && sums[k] > sums[best]*math.Pow(10, -lowerDB/10) && sums[k] >= sums[k-1] && sums[k] >= sums[k+1] {
			best = k
			break
		}
	}
	return float64(best) * rate / size
}

// mostHeard is the pitch of the note that has most weight: the weighted median of what
// lies about it, NaN of none.
func mostHeard(tones []tone) float64 {
	best, most := math.NaN(), 0.0
	for _, c := range tones {
		sum := 0.0
		for _, t := range tones {
			if math.Abs(1200*math.Log2(t.hz/c.hz)) < noteCents {
				sum += t.weight
			}
		}
		if sum > most {
			best, most = c.hz, sum
		}
	}
	var near []tone
	for _, t := range tones {
		if math.Abs(1200*math.Log2(t.hz/best)) < noteCents {
			near = append(near, t)
		}
	}
	slices.SortFunc(near, func(a, b tone) int {
		if a.hz < b.hz {
			return -1
		}
		return 1
	})
	sum := 0.0
	for _, t := range near {
		if sum += t.weight; sum >= most/2 {
			return t.hz
		}
	}
	return best
}
