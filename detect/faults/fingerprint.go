package faults

import (
	"math"
	"strings"
)

const (
	// printStep is the grain of the fingerprint in seconds, printHop the hop of its
	// frames in steps; a frame is weighted by a triangle of twice the hop, so that
	// the delay of a codec, up to 50 ms, hardly shows.
	printStep  = 0.25
	printHop   = 6
	printMax   = 188 // frames: 4 minutes 42 seconds
	printLeast = 4   // frames; with less there is no fingerprint
	// printRange is the span of a value, in dB either way of the track's mean; a
	// value takes one of 64 characters, 1 dB each.
	printRange = 31
	// features of a frame: the power below 60, 150 and about 700 Hz, of everything,
	// and of the first difference, which leans to the highs.
	features = 5
	// printBalance is the step in dB of the features' means in the header.
	printBalance = 0.25
)

// printAlphabet writes a value of six bits.
const printAlphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_"

// fingerprint gathers the features of a track.
type fingerprint struct {
	rate   float64
	low    [2]lowPass
	sums   [features]float64
	fine   fine
	step   int64
	steps  [][features]float32 // grows up to a fixed size
	scale  float64             // makes the difference a slope in time
	length int64
}

func newFingerprint(rate float64, cell int) fingerprint {
	cellRate := rate / float64(cell)
	f := fingerprint{rate: rate, scale: (rate / 44100) * (rate / 44100)}
	f.low[0], f.low[1] = newLowPass(60, cellRate), newLowPass(lowCorner, cellRate)
	f.fine = newFine(rate, cellRate)
	f.steps = make([][features]float32, 0, (printMax+2)*printHop)
	return f
}

func (f *fingerprint) chunk(stats [][]cell, cells int, at int64) {
	for i := range cells {
		n := stats[0][pastCells+i].n
		var mid, energy, slope float64
		for c := range stats {
			s := &stats[c][pastCells+i]
			mid += float64(s.sum)
			energy += float64(s.energy)
			slope += float64(s.slope)
		}
		mid /= float64(n * len(stats))
		a, b := f.low[0].next(mid), f.low[1].next(mid)
		f.fine.cell(mid, at, n)
		f.sums[0] += a * a * float64(n)
		f.sums[1] += b * b * float64(n)
		f.sums[2] += mid * mid * float64(n)
		f.sums[3] += energy / float64(len(stats))
		f.sums[4] += slope / float64(len(stats)) * f.scale
		at += int64(n)
		if float64(at) >= float64(f.step+1)*printStep*f.rate {
			f.endStep()
		}
	}
	f.length = at
}

func (f *fingerprint) endStep() {
	f.step++
	if len(f.steps) < cap(f.steps) {
		var s [features]float32
		for i, v := range f.sums {
			s[i] = float32(v)
		}
		f.steps = append(f.steps, s)
	}
	f.sums = [features]float64{}
}

// frames gives the levels in dB, a row a frame.
func (f *fingerprint) frames() [][features]float64 {
	var out [][features]float64
	for from := 0; from+2*printHop <= len(f.steps) && len(out) < printMax; from += printHop {
		var e [features]float64
		for i, s := range f.steps[from : from+2*printHop] {
			weight := float64(min(i, 2*printHop-1-i)) + 0.5
			for k, v := range s {
				e[k] += weight * float64(v)
			}
		}
		for k := range e {
			e[k] = 10 * math.Log10(e[k]+1e-12)
		}
		out = append(out, e)
	}
	return out
}

// text writes the fingerprint: "2." for the version, the length in tenths of a
// second, the means of the features against that of everything, the frames, and the
// snippets of the waveform.
func (f *fingerprint) text() string {
	rows := f.frames()
	if len(rows) < printLeast {
		return ""
	}
	var means [features]float64
	for _, r := range rows {
		for k, v := range r {
			means[k] += v / float64(len(rows))
		}
	}
	var b strings.Builder
	b.WriteString("2.")
	writeNumber(&b, int(math.Round(float64(f.length)/f.rate*10)))
	b.WriteByte('.')
	for k, v := range means {
		if k != 3 {
			writeNumber(&b, int(math.Round((v-means[3])/printBalance))+2048)
		}
	}
	b.WriteByte('.')
	for _, r := range rows {
		for k, v := range r {
			q := math.Round(v - means[k])
			b.WriteByte(printAlphabet[int(max(-printRange, min(printRange, q)))+printRange])
		}
	}
	b.WriteByte('.')
	f.fine.write(&b)
	return b.String()
}

// writeNumber writes the low 12 bits of a small number, or 24 for the length, as
// fixed digits of the alphabet.
func writeNumber(b *strings.Builder, n int) {
	n = max(0, min(n, 1<<24-1))
	if n >= 1<<12 {
		b.WriteByte(printAlphabet[n>>18])
		b.WriteByte(printAlphabet[n>>12&63])
	}
	b.WriteByte(printAlphabet[n>>6&63])
	b.WriteByte(printAlphabet[n&63])
}
