package kick

import (
	"math"
	"math/rand/v2"
	"testing"
)

var testRate = 44100.0 / 64

// pattern is a kick and a bass of which everything is known.
type pattern struct {
	bpm     float64
	steps   []int   // sixteenths of the bar at which the kick plays
	kickDB  float64 // of its amplitude over that of the bass
	tail    float64 // seconds to 1/e
	hz      float64 // of the bass
	late    float64 // seconds off the grid
	duck    float64 // dB that the bass goes down
	hold    float64 // seconds that it stays there, after a fall of 10 ms
	release float64 // seconds until it is back, straight in dB
	seconds float64
}

func four(p pattern) pattern {
	if p.steps == nil {
		p.steps = []int{0, 4, 8, 12}
	}
	if p.seconds == 0 {
		p.seconds = 40
	}
	return p
}

// hits are the times of its kicks.
func (p pattern) hits() (out []float64) {
	step := 15 / p.bpm
	for bar := 0; ; bar++ {
		for _, s := range p.steps {
			t := 0.2 + step*float64(16*bar+s) + p.late
			if t > p.seconds-1 {
				return out
			}
			out = append(out, t)
		}
	}
}

// kickAt is the kick t seconds after its attack: a glide from 180 to 48 Hz.
func (p pattern) kickAt(t float64) float64 {
	if t < 0 || t > 0.5 {
		return 0
	}
	phase := 2 * math.Pi * (48*t + 132*0.02*(1-math.Exp(-t/0.02)))
	return math.Pow(10, p.kickDB/20) * min(1, t/0.003) * math.Exp(-t/p.tail) * math.Sin(phase)
}

// gainAt is what ducking does to the bass t seconds after an attack, dB.
func (p pattern) gainAt(t float64) float64 {
	const fall = 0.010
	switch {
	case t < -fall:
		return 0
	case t < 0:
		return -p.duck * (t + fall) / fall
	case t < p.hold:
		return -p.duck
	}
	return -p.duck * max(0, 1-(t-p.hold)/p.release)
}

// render gives kick and bass apart.
func (p pattern) render() (kick, bass []float64) {
	n := int(p.seconds * testRate)
	kick, bass = make([]float64, n), make([]float64, n)
	gain := make([]float64, n)
	for _, h := range p.hits() {
		for i := max(0, int((h-0.02)*testRate)); i < min(n, int((h+1)*testRate)); i++ {
			t := float64(i)/testRate - h
			kick[i] += p.kickAt(t)
			gain[i] = min(gain[i], p.gainAt(t))
		}
	}
	for i := range bass {
		bass[i] = math.Pow(10, gain[i]/20) * math.Sin(2*math.Pi*p.hz*float64(i)/testRate+1)
	}
	return kick, bass
}

// measure writes signals to a meter and asks for a grid at p's tempo.
func (p pattern) measure(parts ...[]float64) Result {
	m := New(testRate, 1)
	x := make([]float32, len(parts[0]))
	for _, part := range parts {
		for i, v := range part {
			x[i] += float32(0.1 * v)
		}
	}
	for at := 0; at < len(x); at += 100 {
		m.Write(0, x[at:min(at+100, len(x))])
	}
	return m.Result(Grid{p.bpm, 0.2, 1})
}

// patterns are what the figures are held against: tempi, patterns of the kick, levels,
// pitches and ways of ducking.
func patterns() []pattern {
	out := []pattern{
		{bpm: 125, kickDB: 6, tail: 0.08, hz: 55.3, duck: 8, hold: 0.03, release: 0.12},
		{bpm: 125, kickDB: 0, tail: 0.06, hz: 55.3, duck: 8, hold: 0.03, release: 0.12},
		{bpm: 128, kickDB: 12, tail: 0.07, hz: 49.7, duck: 4, hold: 0.05, release: 0.15},
		{bpm: 140, kickDB: 6, tail: 0.06, hz: 43.9, duck: 15, hold: 0.05, release: 0.1},
		{bpm: 124, kickDB: 6, tail: 0.08, hz: 61.1, duck: 0, hold: 0.03, release: 0.12},
		{bpm: 174, steps: []int{0, 10}, kickDB: 6, tail: 0.06, hz: 46.3, duck: 6, hold: 0.02, release: 0.1},
		{bpm: 132, steps: []int{0, 6, 10}, kickDB: 8, tail: 0.06, hz: 52.3, duck: 10, hold: 0.03, release: 0.12},
		{bpm: 126, kickDB: 6, tail: 0.08, hz: 55.3, duck: 8, hold: 0.03, release: 0.12, late: 0.009},
	}
	for i := range out {
		out[i] = four(out[i])
	}
	return out
}

// TestPatterns: the kick over the bass within 0.5 dB of what the parts have, the dip
// within 0.5 dB of what was dialled in, and the way back within 5 ms: -3 dB is passed so
// far into the release.
func TestPatterns(t *testing.T) {
	for _, p := range patterns() {
		kick, bass := p.render()
		r := p.measure(kick, bass)
		if want := len(p.hits()) * 30 / int(p.seconds); r.Kicks < want*8/10 || r.Kicks > want+2 {
			t.Errorf("%+v: %d kicks, there are %d", p, r.Kicks, want)
		}
		ks, n := 0.0, 0
		for x := 0.0; x < kickSeconds; x += 1e-4 {
			ks += p.kickAt(x) * p.kickAt(x)
			n++
		}
		// A sine of amplitude 1 has a power of 1/2.
		if want := 10 * math.Log10(ks/float64(n)/0.5); !(math.Abs(r.OverBass-want) < 0.5) {
			t.Errorf("%+v: kick %.2f dB over the bass, want %.2f", p, r.OverBass, want)
		}
		if !(math.Abs(r.Dip-p.duck) < 0.5) {
			t.Errorf("%+v: the bass dips %.2f dB", p, r.Dip)
		}
		back := p.hold + p.release*(1-3.0103/p.duck)
		if p.duck < leastBack {
			if !math.IsNaN(r.Back) {
				t.Errorf("%+v: back after %.3f s of nothing", p, r.Back)
			}
		} else if !(math.Abs(r.Back-back) < 0.005) {
			t.Errorf("%+v: back after %.4f s, want %.4f", p, r.Back, back)
		}
	}
}

// cents from one frequency to another.
func cents(hz, from float64) float64 { return 1200 * math.Log2(hz/from) }

// TestPitch: steady notes with and without a kick, and with harmonics, within 5 cents.
func TestPitch(t *testing.T) {
	for _, hz := range []float64{30, 36.7, 41.2, 49, 55, 65.4, 77.8} {
		p := four(pattern{bpm: 125, kickDB: 6, tail: 0.08, hz: hz, duck: 8, hold: 0.03, release: 0.12})
		kick, bass := p.render()
		rich := make([]float64, len(bass))
		for i := range rich {
			for k := 1.0; k < 5; k++ {
				rich[i] += math.Sin(2*math.Pi*k*hz*float64(i)/testRate) / k
			}
		}
		for name, parts := range map[string][][]float64{"alone": {bass}, "with a kick": {kick, bass}, "with harmonics": {rich}} {
			if r := p.measure(parts...); !(math.Abs(cents(r.Hz, hz)) < 5) {
				t.Errorf("%g Hz %s: %.3f Hz, %.1f cents off", hz, name, r.Hz, cents(r.Hz, hz))
			}
		}
	}
	octave := make([]float64, int(40*testRate))
	for i := range octave {
		at := 2 * math.Pi * float64(i) / testRate
		octave[i] = math.Sin(41.2*at) + 2*math.Sin(82.4*at)
	}
	if r := (pattern{bpm: 120}).measure(octave); !(math.Abs(cents(r.Hz, 41.2)) < 5) {
		t.Errorf("41.2 Hz under an octave 6 dB stronger: %.2f Hz", r.Hz)
	}
}

// TestBassBesideTheBeat: notes of a bass that begin alike on sixteenths without a kick,
// each time with the same phase, are no kicks, be they stronger.
func TestBassBesideTheBeat(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.06, hz: 55.3})
	kick, _ := p.render()
	notes := make([]float64, len(kick))
	for _, h := range p.hits() {
		for _, step := range []float64{1, 2, 3} {
			from := h + step*15/p.bpm
			for i := int(from * testRate); i < min(len(notes), int((from+0.11)*testRate)); i++ {
				t := float64(i)/testRate - from
				notes[i] = 2 * math.Sin(2*math.Pi*65.4*t) * min(1, t/0.01)
			}
		}
	}
	r := p.measure(kick, notes)
	if want := len(p.hits()) * 30 / int(p.seconds); r.Kicks > want+2 {
		t.Errorf("%d kicks, there are %d", r.Kicks, want)
	}
}

// TestMostHeard: of two notes, the one that plays longer.
func TestMostHeard(t *testing.T) {
	x := make([]float64, int(40*testRate))
	for i := range x {
		hz := 49.0
		if int(float64(i)/testRate)%4 == 3 {
			hz = 65.4
		}
		x[i] = math.Sin(2 * math.Pi * hz * float64(i) / testRate)
	}
	if r := (pattern{bpm: 120}).measure(x); !(math.Abs(cents(r.Hz, 49)) < 5) {
		t.Errorf("%.2f Hz", r.Hz)
	}
}

// TestUp: a bass that sounds for so much of the time.
func TestUp(t *testing.T) {
	for _, share := range []float64{1, 0.75, 0.5, 0.25} {
		x := make([]float64, int(40*testRate))
		for i := range x {
			if math.Mod(float64(i)/testRate, 2) < 2*share {
				x[i] = math.Sin(2 * math.Pi * 50 * float64(i) / testRate)
			}
		}
		if r := (pattern{bpm: 120}).measure(x); !(math.Abs(r.Up-share) < 0.05) {
			t.Errorf("up %.2f of the time, want %.2f", r.Up, share)
		}
	}
}

// TestNoKick: a bass alone, noise, silence, an unsure tempo and a track of three seconds
// have no kick, and a bass that begins anew with each kick, in one phase, no figures.
func TestNoKick(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.08, hz: 55.3, duck: 8, hold: 0.03, release: 0.12})
	kick, bass := p.render()
	r := rand.New(rand.NewPCG(1, 2))
	noise := make([]float64, len(bass))
	for i := range noise {
		noise[i] = r.NormFloat64()
	}
	for name, x := range map[string][]float64{"bass": bass, "noise": noise, "silence": make([]float64, len(bass))} {
		if r := p.measure(x); r.Kicks != 0 || !math.IsNaN(r.OverBass) || !math.IsNaN(r.Dip) {
			t.Errorf("%s: %+v", name, r)
		}
	}
	if r := p.measure(make([]float64, len(bass))); !math.IsNaN(r.Hz) || !math.IsNaN(r.Up) {
		t.Errorf("silence has a pitch: %+v", r)
	}
	m := New(testRate, 1)
	m.Write(0, make([]float32, 2000))
	if r := m.Result(Grid{125, 0.2, 1}); r.Kicks != 0 || !math.IsNaN(r.Hz) {
		t.Errorf("three seconds: %+v", r)
	}
	again := make([]float64, len(bass))
	for _, h := range p.hits() {
		for i := int(h * testRate); i < min(len(again), int((h+60/p.bpm)*testRate)); i++ {
			t := float64(i)/testRate - h
			again[i] = math.Sin(2*math.Pi*55.3*t) * min(1, t/0.02)
		}
	}
	if r := p.measure(kick, again); !math.IsNaN(r.OverBass) || !math.IsNaN(r.Dip) {
		t.Errorf("a bass in phase with the kick: %+v", r)
	}
	if r := p.measure(kick); !math.IsNaN(r.OverBass) {
		t.Errorf("no bass: %+v", r)
	}
}

// TestOneSound: a bass that begins anew with each kick is one sound with it, also where it
// is louder at every second; and what lies 40 dB under a kick is no bass.
func TestOneSound(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.03, hz: 55.3})
	kick, _ := p.render()
	again, hiss := make([]float64, len(kick)), make([]float64, len(kick))
	for n, h := range p.hits() {
		for i := int(h * testRate); i < min(len(again), int((h+60/p.bpm)*testRate)); i++ {
			t := float64(i)/testRate - h
			again[i] = (1 + 0.2*float64(n%2*2-1)) * math.Sin(2*math.Pi*55.3*t) * min(1, t/0.02)
		}
	}
	if r := p.measure(kick, again); r.Kicks < 30 || !math.IsNaN(r.OverBass) || !math.IsNaN(r.Dip) {
		t.Errorf("one sound: %+v", r)
	}
	r := rand.New(rand.NewPCG(3, 4))
	for i := range hiss {
		hiss[i] = 0.01 * r.NormFloat64()
	}
	if r := p.measure(kick, hiss); r.Kicks < 30 || !math.IsNaN(r.OverBass) || !math.IsNaN(r.Dip) {
		t.Errorf("hiss: %+v", r)
	}
}

// TestAnotherDrum: a tom on a sixteenth of its own is no kick.
func TestAnotherDrum(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.06, hz: 55.3})
	kick, bass := p.render()
	tom := make([]float64, len(kick))
	for _, h := range p.hits() {
		from := h + 2*15/p.bpm
		for i := int(from * testRate); i < min(len(tom), int((from+0.2)*testRate)); i++ {
			t := float64(i)/testRate - from
			tom[i] = 1.7 * math.Sin(2*math.Pi*(62*t+90*0.025*(1-math.Exp(-t/0.025)))) * math.Exp(-t/0.07)
		}
	}
	want := len(p.hits()) * 30 / int(p.seconds)
	if r := p.measure(kick, bass, tom); r.Kicks > want+2 || r.Kicks < want*8/10 {
		t.Errorf("%d kicks, there are %d", r.Kicks, want)
	}
}

// TestFills: where the kick pauses, none is found.
func TestFills(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.06, hz: 55.3, duck: 6, hold: 0.03, release: 0.1})
	kick, bass := p.render()
	for n, h := range p.hits() {
		if n%8 >= 6 {
			clear(kick[int((h-0.01)*testRate):int((h+0.45)*testRate)])
		}
	}
	want := len(p.hits()) * 30 / int(p.seconds) * 3 / 4
	if r := p.measure(kick, bass); r.Kicks > want+3 || r.Kicks < want-4 {
		t.Errorf("%d kicks, there are %d", r.Kicks, want)
	}
}

// TestNoPitch: noise has none.
func TestNoPitch(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	x := make([]float64, int(40*testRate))
	for i := range x {
		x[i] = r.NormFloat64()
	}
	if r := (pattern{bpm: 120}).measure(x); !math.IsNaN(r.Hz) {
		t.Errorf("noise is at %.1f Hz", r.Hz)
	}
}

// TestUnsure: a grid that nobody is sure of is no grid.
func TestUnsure(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.08, hz: 55.3, duck: 8, hold: 0.03, release: 0.12})
	kick, bass := p.render()
	m := New(testRate, 1)
	x := make([]float32, len(kick))
	for i := range x {
		x[i] = float32(kick[i] + bass[i])
	}
	m.Write(0, x)
	for _, g := range []Grid{{125, 0.2, 0.5}, {math.NaN(), 0.2, 1}, {125, math.NaN(), 1}, {0, 0, 1}} {
		if r := m.Result(g); r.Kicks != 0 || !math.IsNaN(r.OverBass) || !(math.Abs(cents(r.Hz, 55.3)) < 5) {
			t.Errorf("%+v: %+v", g, r)
		}
	}
}

// TestFullestPart: of a long track the 30 s with the loudest bottom are kept, and no more
// memory for a longer one; channels are mixed.
func TestFullestPart(t *testing.T) {
	m := New(testRate, 2)
	total := int(300 * testRate)
	left, right := make([]float32, 0, total), make([]float32, 0, total)
	for i := range total {
		at := float64(i) / testRate
		v := float32(0.1 * math.Sin(2*math.Pi*41.2*at))
		if at >= 140 && at < 170 {
			v = float32(0.4 * math.Sin(2*math.Pi*55*at))
		}
		left, right = append(left, 2*v), append(right, 0)
	}
	for at := 0; at < total; at += 333 {
		to := min(at+333, total)
		m.Write(0, left[at:to])
		m.Write(1, right[at:to])
	}
	x, start := m.kept()
	if math.Abs(start-140) > 1.5 || len(x) != len(m.ring) || cap(m.best) != len(m.ring) {
		t.Errorf("%d samples from %.1f s", len(x), start)
	}
	for i, v := range x {
		if at := int64(i) + m.from; math.Abs(float64(v-(left[at]+right[at])/2)) > 1e-6 {
			t.Fatalf("sample %d is %g, was %g", i, v, (left[at]+right[at])/2)
		}
	}
	if r := m.Result(Grid{125, 0, 0}); !(math.Abs(cents(r.Hz, 55)) < 5) {
		t.Errorf("%.2f Hz, the loud part has 55", r.Hz)
	}
}
