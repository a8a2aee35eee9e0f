package kick

import (
	"math"
	"slices"
	"testing"
)

// sumsOf are the true sums at the kicks of a pattern in the last 30 s, in dB: from the parts, which
// the meter never sees.
func (p pattern) sumsOf(kick, bass []float64) (out []float64) {
	for _, h := range p.hits() {
		from := int(math.Round(h * testRate))
		var k, b, both float64
		for i := from; i < from+int(attackSeconds*testRate); i++ {
			k += kick[i] * kick[i]
			b += bass[i] * bass[i]
			both += (kick[i] + bass[i]) * (kick[i] + bass[i])
		}
		out = append(out, 10*math.Log10(both/(k+b)))
	}
	slices.Sort(out)
	return out
}

// TestPhase: a sub that runs on through the kicks. Its phase at each is another, and the sum
// follows. Powers of single attacks of real signals hold a half period more or less, hence the
// tolerance of 0.4 dB.
func TestPhase(t *testing.T) {
	for _, p := range []pattern{
		{bpm: 124, kickDB: 6, tail: 0.08, hz: 61.1},
		{bpm: 128, kickDB: 9, tail: 0.07, hz: 49.7},
		{bpm: 140, kickDB: 6, tail: 0.06, hz: 43.9},
	} {
		p = four(p)
		p.hold, p.release = 0.03, 0.12
		kick, bass := p.render()
		r := p.measure(kick, bass)
		truth := p.sumsOf(kick, bass)
		if r.Held < 40 {
			t.Errorf("%+v: the sub runs through %d kicks of %d", p, r.Held, len(truth))
		}
		t.Logf("median %.2f (%.2f), worst %.2f (%.2f), held %d, dip %.2f", r.Median, truth[len(truth)/2], r.Worst, truth[len(truth)/10], r.Held, r.Dip)
		if want := truth[len(truth)/10]; !(math.Abs(r.Worst-want) < 0.4) {
			t.Errorf("%+v: worst %.2f dB, in truth %.2f", p, r.Worst, want)
		}
		if want := truth[len(truth)/2]; !(math.Abs(r.Median-want) < 0.4) {
			t.Errorf("%+v: median %.2f dB, in truth %.2f", p, r.Median, want)
		}
	}
}

// TestNoPhase: a bass that goes down at the kicks, and one whose notes end there and begin anew
// with another phase, are not held through them.
func TestNoPhase(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.08, hz: 55.3, duck: 8, hold: 0.03, release: 0.12})
	kick, bass := p.render()
	if r := p.measure(kick, bass); r.Held != 0 || !math.IsNaN(r.Worst) || !math.IsNaN(r.Median) {
		t.Errorf("a ducked bass: %+v", r.Phase)
	}
	p.duck = 0
	kick, _ = p.render()
	notes := make([]float64, len(kick))
	step := 60 / p.bpm
	for i := range notes {
		s := float64(i)/testRate - 0.2
		n := math.Floor(s / step)
		notes[i] = math.Sin(2*math.Pi*p.hz*(s-n*step) + 2.4*n*n) // any phase, as of a player
	}
	if r := p.measure(kick, notes); r.Held >= 25 {
		t.Errorf("notes that begin anew: %d of %d held", r.Held, len(p.hits()))
	}
}

// TestThrough: a note runs on where its frequency, its level and its phase lead from one end to the
// other; each alone ends it.
func TestThrough(t *testing.T) {
	const rate = 1000.0
	before := run{hz: 50, phase: 1, amplitude: 1, middle: 100}
	same := run{hz: 50, phase: 1 + 2*math.Pi*15, amplitude: 1, middle: 400} // 0.3 s are 15 periods
	for name, c := range map[string]struct {
		change func(*run)
		want   bool
	}{
		"as it was":               {func(*run) {}, true},
		"a turn more":             {func(r *run) { r.phase += 2 * math.Pi }, true},
		"0.9 rad off":             {func(r *run) { r.phase += 0.9 }, true},
		"1.1 rad off":             {func(r *run) { r.phase -= 1.1 }, false},
		"another note":            {func(r *run) { r.hz += 1.1; r.phase += 2 * math.Pi * 0.55 * 0.3 }, false},
		"3.1 dB less":             {func(r *run) { r.amplitude = math.Pow(10, -3.1/20) }, false},
		"2.9 dB more":             {func(r *run) { r.amplitude = math.Pow(10, 2.9/20) }, true},
		"0.8 Hz, led by the mean": {func(r *run) { r.hz += 0.8; r.phase += 2 * math.Pi * 0.4 * 0.3 }, true},
	} {
		after := same
		c.change(&after)
		note, ok := through(before, after, rate)
		if ok != c.want {
			t.Errorf("%s: %v", name, ok)
		}
		if !ok {
			continue
		}
		// It has the phase of both ends.
		if off := math.Remainder(note.phase+2*math.Pi*note.hz*0.3-after.phase, 2*math.Pi); math.Abs(off) > 1e-9 {
			t.Errorf("%s: %.3f rad off behind the kick", name, off)
		}
		if want := (before.amplitude + after.amplitude) / 2; note.amplitude != want {
			t.Errorf("%s: amplitude %v, want %v", name, note.amplitude, want)
		}
	}
}

// TestPhaseOfUnevenKicks: the note behind a kick is looked for before the next, wherever that is; at
// the edges of what was kept there is none.
func TestPhaseOfUnevenKicks(t *testing.T) {
	p := four(pattern{bpm: 174, steps: []int{0, 10}, kickDB: 9, tail: 0.05, hz: 51.7})
	p.hold, p.release = 0.02, 0.1
	kick, bass := p.render()
	r := p.measure(kick, bass)
	truth := p.sumsOf(kick, bass)
	if want := truth[len(truth)/10]; r.Held < 35 || !(math.Abs(r.Worst-want) < 0.4) {
		t.Errorf("%d held, worst %.2f dB, in truth %.2f", r.Held, r.Worst, want)
	}
	y := make([]complex64, 100)
	for _, c := range [][2]int{{-1, 50}, {60, 101}, {50, 57}} {
		if _, ok := runOf(y, c[0], c[1], 1000); ok {
			t.Errorf("a run from %d to %d", c[0], c[1])
		}
	}
	for i := range y {
		sin, cos := math.Sincos(2 * math.Pi * 50 * float64(i) / 1000)
		y[i] = complex(float32(0.5*cos), float32(0.5*sin))
	}
	for _, c := range [][2]int{{0, 50}, {50, 100}, {50, 58}} {
		if r, ok := runOf(y, c[0], c[1], 1000); !ok || math.Abs(r.hz-50) > 0.01 || math.Abs(r.amplitude-0.5) > 0.01 {
			t.Errorf("from %d to %d: %+v, %v", c[0], c[1], r, ok)
		}
	}
}
