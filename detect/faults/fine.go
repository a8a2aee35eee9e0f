package faults

import (
	"math"
	"strings"
)

// The second part of the fingerprint is the waveform itself below fineCorner, in
// snippets. Tracks of one style, tempo and length have the same course of levels;
// not the same notes.
const (
	fineSnippets = 12
	fineSamples  = 120 // in a snippet
	fineRate     = 400 // samples a second: a snippet is 0.3 s
	// fineFirst is where the first snippet begins, in seconds; each next one begins
	// fineRatio times later, the last one 4 minutes 20 seconds into the track.
	fineFirst, fineRatio = 3, 1.5
	// fineCorner is that of a low-pass of second order, in hertz: lossy codecs keep
	// the waveform there, and a delay of a fraction of a sample does little.
	fineCorner = 80
	// fineUnit is what the RMS value of all snippets is written as: three times as much
	// fits into the six bits.
	fineUnit = 10
	// fineLeast is the least RMS value against that of the whole track, -50 dB.
	// What is below is written smaller, down to nothing: it is the noise of a codec.
	fineLeast = 0.003
	// fineLags is how far two waveforms may lie apart, in samples: 60 ms, the delay
	// of an encoder and a decoder.
	fineLags = 24
	// sameCorrelation is the least correlation of the same audio at its best lag.
	// Measured: 0.998 and more through MP3 at 128 and 320 and AAC at 128 kbit/s, at
	// most 0.77 between loops of one style, tempo, length and kick.
	sameCorrelation = 0.9
)

// fine gathers the snippets.
type fine struct {
	rate    float64
	low     lowPass
	last    float64 // the low-passed value of the cell before
	next    float64 // place of the next sample
	samples []float32
	energy  float64 // of everything, for the level
	cells   float64
}

func newFine(rate, cellRate float64) fine {
	return fine{
		rate: rate, low: newLowPass(fineCorner, cellRate), next: fineFirst * rate,
		samples: make([]float32, 0, fineSnippets*fineSamples),
	}
}

// cell takes the mean of a cell of n samples that begins at a place.
func (f *fine) cell(mid float64, at int64, n int) {
	v := f.low.next(mid)
	f.energy += mid * mid
	f.cells++
	for end := float64(at + int64(n)); f.next <= end && len(f.samples) < cap(f.samples); {
		between := (end - f.next) / float64(n)
		f.samples = append(f.samples, float32(v+(f.last-v)*between))
		f.next = f.place(len(f.samples))
	}
	f.last = v
}

// place is where sample i lies.
func (f *fine) place(i int) float64 {
	start := fineFirst * math.Pow(fineRatio, float64(i/fineSamples))
	return f.rate * (start + float64(i%fineSamples)/fineRate)
}

// write writes the whole snippets, a character a sample.
func (f *fine) write(b *strings.Builder) {
	x := f.samples[:len(f.samples)/fineSamples*fineSamples]
	sum := 0.0
	for _, v := range x {
		sum += float64(v) * float64(v)
	}
	rms := math.Sqrt(sum / float64(max(1, len(x))))
	unit := max(rms, fineLeast*math.Sqrt(f.energy/max(1, f.cells))) / fineUnit
	for _, v := range x {
		q := 0.0
		if unit > 0 {
			q = max(-printRange, min(printRange, math.Round(float64(v)/unit)))
		}
		b.WriteByte(printAlphabet[int(q)+printRange])
	}
}

// sameWave compares snippets at all lags. Where there is nothing to compare, it
// has no objection.
func sameWave(a, b string) bool {
	n := min(len(a), len(b))
	x, y := waveOf(a[:n]), waveOf(b[:n])
	if quiet(x) || quiet(y) {
		return true
	}
	return bestCorrelation(x, y) >= sameCorrelation
}

// waveOf reads what write wrote.
func waveOf(s string) []int32 {
	x := make([]int32, len(s))
	for i := range x {
		x[i] = int32(digit(s[i]) - printRange)
	}
	return x
}

// quiet tells whether the waveform is too small to be compared.
func quiet(x []int32) bool {
	sum := 0
	for _, v := range x {
		sum += int(v * v)
	}
	return 4*sum < fineUnit*fineUnit*len(x) || len(x) == 0
}

// bestCorrelation is the highest correlation over the lags, in between them by the
// parabola through three; either polarity counts.
func bestCorrelation(x, y []int32) float64 {
	var c [2*fineLags + 1]float64
	best := 0.0
	for i := range c {
		c[i] = waveCorrelation(x, y, i-fineLags)
		best = max(best, math.Abs(c[i]))
	}
	for i := 1; i < len(c)-1; i++ {
		before, at, after := math.Abs(c[i-1]), math.Abs(c[i]), math.Abs(c[i+1])
		if bend := before + after - 2*at; at > before && at > after {
			best = max(best, at-(before-after)*(before-after)/(8*bend))
		}
	}
	return best
}

// waveCorrelation is that of x with y, which lies lag samples later, within the
// snippets.
func waveCorrelation(x, y []int32, lag int) float64 {
	var xy, xx, yy int64
	for from := 0; from < len(x); from += fineSamples {
		u, v := x[from:from+fineSamples], y[from:from+fineSamples]
		if lag > 0 {
			u, v = u[:fineSamples-lag], v[lag:]
		} else {
			u, v = u[-lag:], v[:fineSamples+lag]
		}
		for i, a := range u {
			b := v[i]
			xy += int64(a * b)
			xx += int64(a * a)
			yy += int64(b * b)
		}
	}
	if xx == 0 || yy == 0 {
		return 0
	}
	return float64(xy) / math.Sqrt(float64(xx)*float64(yy))
}
