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

// TestPhaseOfUnevenKicks: the note behind a kick is looked for before the next, wherever that is.
func TestPhaseOfUnevenKicks(t *testing.T) {
	p := four(pattern{bpm: 174, steps: []int{0, 10}, kickDB: 9, tail: 0.05, hz: 51.7})
	p.hold, p.release = 0.02, 0.1
	kick, bass := p.render()
	r := p.measure(kick, bass)
	truth := p.sumsOf(kick, bass)
	if want := truth[len(truth)/10]; r.Held < 35 || !(math.Abs(r.Worst-want) < 0.4) {
		t.Errorf("%d held, worst %.2f dB, in truth %.2f", r.Held, r.Worst, want)
	}
}
