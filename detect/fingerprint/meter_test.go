package fingerprint

import (
	"math"
	"math/bits"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/key"
)

const rate = 44100

// tune is music of chords and a tune over them that never repeats, in one channel.
func tune(seed uint64, seconds float64) []float32 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float32, int(seconds*rate))
	for at := 0; at < len(x); at += rate * 3 / 10 {
		for range 3 {
			hz := 220 * math.Pow(2, float64(r.IntN(36))/12)
			gain := 0.05 + 0.1*r.Float64()
			for i := range min(len(x)-at, rate*9/10) {
				s := float64(i) / rate
				x[at+i] += float32(gain * math.Exp(-3*s) * (math.Sin(2*math.Pi*hz*s) + 0.3*math.Sin(6*math.Pi*hz*s)))
			}
		}
	}
	return x
}

// printOf is the print of channels at a rate.
func printOf(hz int, channels ...[]float32) Print {
	tone := key.New(hz, len(channels))
	m := Of(tone)
	tone.Write(channels)
	return m.Print()
}

// differ is the share of the bits in which two prints of one length differ.
func differ(t *testing.T, p, q Print) float64 {
	t.Helper()
	n := 0
	if len(p) == 0 || len(q) < len(p)-1 || len(q) > len(p)+1 {
		t.Fatalf("%d and %d sub-prints", len(p), len(q))
	}
	q = q[:min(len(p), len(q))]
	for i, v := range q {
		n += bits.OnesCount32(v ^ p[i])
	}
	return float64(n) / float64(bitsPrint*len(q))
}

// TestPrintOfMusic: gains, channels and rates leave nearly all bits, another tune differs
// in about half, and half a frame later in at most 19 %, as package documentation says.
func TestPrintOfMusic(t *testing.T) {
	x := tune(1, 40)
	p := printOf(rate, x)
	if want := 215 - 5; len(p) < want-2 || len(p) > want+2 {
		t.Fatalf("%d sub-prints, want about %d", len(p), want)
	}
	quiet := slices.Clone(x)
	for i := range quiet {
		quiet[i] *= 0.02 // -34 dB
	}
	half := 4096
	second := make([]float32, len(x)/2)
	for i := range second {
		second[i] = (x[2*i] + x[2*i+1]) / 2
	}
	for _, c := range []struct {
		name string
		q    Print
		from float64
		most float64
	}{
		{"quiet", printOf(rate, quiet), 0, 0.002},
		{"two channels", printOf(rate, x, x), 0, 0.002},
		{"half the rate", printOf(rate/2, second), 0, 0.02},
		{"half a frame later", printOf(rate, x[half:]), 0.03, 0.19},
		{"another tune", printOf(rate, tune(2, 40)), 0.4, 0.6},
	} {
		if got := differ(t, p, c.q); got < c.from || got > c.most {
			t.Errorf("%s: %.3f of the bits differ, want %.3f to %.3f", c.name, got, c.from, c.most)
		}
	}
}

// TestNothingToHear: silence, noise at -110 dB and a steady tone have sub-prints of 0.
func TestNothingToHear(t *testing.T) {
	n := 20 * rate
	r := rand.New(rand.NewPCG(1, 1))
	faint, tone, mixed := make([]float32, n), make([]float32, n), make([]float32, n)
	for i := range faint {
		faint[i] = float32(3e-6 * r.NormFloat64())
		tone[i] = float32(0.3 * math.Sin(2*math.Pi*441*float64(i)/rate))
	}
	copy(mixed, tune(1, 10))
	for name, x := range map[string][]float32{"silence": make([]float32, n), "noise": faint, "tone": tone} {
		p := printOf(rate, x)
		zeros := slices.IndexFunc(p[frames+apart:], func(v uint32) bool { return v != 0 })
		if zeros >= 0 || len(p) == 0 {
			t.Errorf("%s: sub-print %d of %d says something", name, zeros, len(p))
		}
	}
	p := printOf(rate, mixed)
	if got, want := p.heard(), 53; got < want-8 || got > want+8 {
		t.Errorf("%d sub-prints say something, want those of 10 s, %d", got, want)
	}
	if p[0] != 0 || p[apart-1] != 0 || p[apart] == 0 {
		t.Errorf("%x: the first %d have nothing to be compared with", p[:8], apart)
	}
}

// TestLengths: under 16 s and over 20 minutes there is no print, and memory is bounded.
func TestLengths(t *testing.T) {
	m := Of(key.New(rate, 1))
	amp := make([]float64, 1700)
	r := rand.New(rand.NewPCG(1, 1))
	for frame := 1; frame <= m.most+1; frame++ {
		for i := range amp {
			amp[i] = r.Float64() / 100
		}
		m.frame(amp)
		p := m.Print()
		if n := frame - frames + 1; (p != nil) != (n >= leastPrint && frame <= m.most) || (p != nil && len(p) != n) {
			t.Fatalf("%d frames: %d sub-prints", frame, len(p))
		}
	}
	if s := float64(m.most) * Step; math.Abs(s-maxSeconds) > 1 || cap(m.print) > m.most {
		t.Errorf("up to %.0f s, room for %d", s, cap(m.print))
	}
	if n := testing.AllocsPerRun(100, func() { m.frame(amp) }); n != 0 {
		t.Errorf("%.0f allocations a frame", n)
	}
}

// TestBands: the power in a band is that of its bins, those on a limit in proportion: of
// bins that all have 1, the band's width in bins.
func TestBands(t *testing.T) {
	const binHz = 2.7
	amp := make([]float64, 1700)
	for i := range amp {
		amp[i] = 1
	}
	var got [bands]float32
	newBandSums(binHz, len(amp)).amplitudes(&got, amp)
	for k, v := range got {
		low := bandLow * math.Pow(2, float64(k)/bandsPerOctave)
		want := low * (math.Pow(2, 1.0/bandsPerOctave) - 1) / binHz
		if math.Abs(float64(v*v)-want) > 1e-3*want {
			t.Errorf("band %d: %.3f bins, want %.3f", k, v*v, want)
		}
	}
	clear(amp)
	amp[140] = 1 // lies on 392 Hz, the limit between two bands: half of it in each
	newBandSums(2.8, len(amp)).amplitudes(&got, amp)
	if below, above := float64(got[5]*got[5]), float64(got[6]*got[6]); math.Abs(below-0.5) > 1e-6 || math.Abs(above-0.5) > 1e-6 {
		t.Errorf("%.3f and %.3f of a bin on the limit", below, above)
	}
	clear(amp)
	amp[int(math.Round(415/binHz))] = 1 // well within a band
	newBandSums(binHz, len(amp)).amplitudes(&got, amp)
	want := int(math.Log2(415.0/bandLow) * bandsPerOctave)
	for k, v := range got {
		if (v == 1) != (k == want) {
			t.Errorf("band %d has %g of a tone of 415 Hz, which is in band %d", k, v, want)
		}
	}
}
