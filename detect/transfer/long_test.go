package transfer

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/dsp/fourier"
)

// TestWowSegments: however many steps there were, the lines are those of all segments that
// begin half a segment after each other, as a list that is held whole gives them.
func TestWowSegments(t *testing.T) {
	for _, n := range []int{wowLeast - 1, wowLeast, wowSegment - 1, wowSegment, wowSegment + 1, 3*wowSegment/2 - 1, 3 * wowSegment / 2, 5*wowSegment + 77} {
		w := newWowTurning(10)
		rng := rand.New(rand.NewPCG(uint64(n), 5))
		var steps []wowStep
		for range n {
			s := wowStep{[wowBands]float32{float32(rng.NormFloat64()), float32(rng.NormFloat64())}, [wowBands]float32{3, 2}}
			steps = append(steps, s)
			w.add(s)
		}
		cross, noise := wholeLines(steps)
		for range 2 { // it may be asked again
			lines := w.lines()
			if (lines == nil) != (n < wowLeast) {
				t.Fatalf("%d steps: %d lines", n, len(lines))
			}
			for k := 1; k < len(lines); k++ {
				if l := lines[k]; l.cross != cross[k] || l.noise != noise[k] || l.hz != float64(k)*10/wowSegment {
					t.Fatalf("%d steps, bin %d: %+v, want %g and %g", n, k, l, cross[k], noise[k])
				}
			}
		}
		if cap(w.steps) > wowSegment {
			t.Errorf("%d steps: room for %d", n, cap(w.steps))
		}
	}
}

// wholeLines are the lines of a list of steps.
func wholeLines(steps []wowStep) (cross, noise []float64) {
	fft, total := fourier.New(wowSegment), 0.0
	cross, noise = make([]float64, wowSegment/2), make([]float64, wowSegment/2)
	power := make([][wowBands]float64, wowSegment/2)
	low, high := make([]complex64, wowSegment), make([]complex64, wowSegment)
	for from := 0; from == 0 || from+wowSegment/2 <= len(steps); from += wowSegment / 2 {
		part := steps[from:min(from+wowSegment, len(steps))]
		total += float64(len(part))
		segment(low, part, 0)
		segment(high, part, 1)
		fft.Do(low)
		fft.Do(high)
		for k := 1; k < wowSegment/2; k++ {
			a, b := complex128(low[fft.Place()[k]]), complex128(high[fft.Place()[k]])
			gain := 1 / (2 * math.Sin(math.Pi*float64(k)/wowSegment))
			gain *= gain * float64(len(part))
			cross[k] += gain * re(a, b)
			power[k][0] += gain * re(a, a)
			power[k][1] += gain * re(b, b)
		}
	}
	for k := range cross {
		cross[k] /= total
		noise[k] = math.Sqrt(power[k][0]*power[k][1]) / total
	}
	return cross, noise
}

// TestHumOfLongTracks: a hum of a track that is thinned out is found with the level, the
// agreement and the frequency of one that is not; where it stands out most is said in the
// time of the track.
func TestHumOfLongTracks(t *testing.T) {
	const frames = 3 * humStretch * humStretches
	long, quiet := newHumMeter(slowRate, 1), 2*humStretch*humStretches+17
	short := newHumMeter(slowRate, 1)
	fill := func(m *humMeter, n, quiet int, at func(i int) float64) {
		rng := rand.New(rand.NewPCG(4, 4))
		for i := range n {
			var f humFrame
			for h := range harmonics {
				turn := 2 * math.Pi * 0.05 * float64(h+1) * float64(i) * humHop / slowRate
				noise := complex(rng.NormFloat64(), rng.NormFloat64()) * 0.0004
				f[0][h].x[0] = complex64(cmplx.Rect(at(i)/float64(h+1), turn) + noise)
				f[0][h].around[0], f[0][h].around[1] = 1e-5, 1e-5
				if i == quiet {
					f[0][h].around[0] = 1e-7
				}
			}
			m.frames.Append(f)
		}
	}
	steady := func(int) float64 { return 0.004 }
	fill(long, frames, quiet, steady)
	fill(short, humStretch*humStretches, -1, steady)
	if n := long.frames.Len(); n > humStretch*humStretches {
		t.Errorf("%d frames held", n)
	}
	a, b := long.hum(0), short.hum(0)
	if !a.is() || !b.is() || math.Abs(a.hz-b.hz) > humOffStep+1e-9 || math.Abs(a.level-b.level) > 0.1 || math.Abs(a.together-b.together) > 0.01 || math.Abs(a.missed-b.missed) > 0.01 {
		t.Errorf("long %+v, short %+v", a, b)
	}
	if want := float64(quiet) * humHop / slowRate; math.Abs(a.at-want) > 1e-9 {
		t.Errorf("stands out most at %.2f s, want %.2f", a.at, want)
	}
}

// TestAgreeAcrossStretches: frames of two stretches that were not neighbours are not held
// against each other: of a line whose phase is another in each stretch all agree.
func TestAgreeAcrossStretches(t *testing.T) {
	m := newHumMeter(slowRate, 1)
	for i := range 3 * humStretch * humStretches {
		var f humFrame
		stretch := float64(i / humStretch)
		f[0][2].x[1], f[0][2].around[1] = complex64(cmplx.Rect(1e-3, stretch*stretch)), 1e-8
		m.frames.Append(f)
	}
	frames := humFrames{m.frames, 100, m.frames.Len() - 200}
	a := agree(frames, 0, 2, 1)
	if got := m.along(&a, 0); math.Abs(got-1) > 1e-6 {
		t.Errorf("agreement %g, want 1", got)
	}
	if got := m.square(frames, 0, 2, 1, 0); math.Abs(got-1e-6) > 1e-12 {
		t.Errorf("square of the amplitude %g, want 1e-6", got)
	}
}

// TestHissOfLongTracks: the floor of hours is that of their frames, its place one of the
// track.
func TestHissOfLongTracks(t *testing.T) {
	h := newHiss(44100, 32)
	const n, deepest = 3 * hissStretch * hissStretches, 2*hissStretch*hissStretches + 5
	rng := rand.New(rand.NewPCG(6, 6))
	for i := range n {
		var f top
		for b := range f {
			f[b] = float32(-20 + 2*rng.NormFloat64())
			if i%16 < 4 {
				f[b] = float32(-55 + 0.3*rng.NormFloat64())
			}
			if i == deepest {
				f[b] = -56.9
			}
		}
		h.frames.Append(f)
	}
	if got := h.frames.Len(); got > hissStretch*hissStretches {
		t.Errorf("%d frames held", got)
	}
	if level, at := h.floor(); math.Abs(level-hissUnder+55) > 0.8 || at != deepest {
		t.Errorf("%.2f dB, deepest at frame %d, want %.0f and %d", level, at, -55+hissUnder, deepest)
	}
}
