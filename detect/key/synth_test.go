package key

import (
	"math"
	"math/rand/v2"
	"sync"
)

// This file holds the generator that the tests make their music with: notes in
// beats, a few timbres and a drum kit. It knows nothing of the analysis.

// note is one tone: start and length in beats, pitch in MIDI numbers (69 is A4
// = 440 Hz).
type note struct {
	at, beats float64
	pitch     float64
	level     float64
}

type timbre int

const (
	sine timbre = iota
	saw
	square
	plucked
	fm
)

var timbreNames = []string{"sine", "saw", "square", "plucked", "fm"}

// tune is music to be rendered.
type tune struct {
	bpm     float64
	timbre  timbre
	cents   float64 // detuning of all notes
	up      float64 // transposition in semitones
	notes   []note
	beats   float64 // length of the loop
	seconds float64 // how long the loop is repeated
	drums   []hit
}

// hit is one stroke of the drum kit.
type hit struct {
	at   float64
	what byte // 'k' kick, 's' snare, 'h' hat, 't' tom
}

const tableSize = 2048

// tables keeps the waves that were made.
var tables = waveCache{made: map[waveID][]float64{}}

type waveID struct {
	t    timbre
	hz   float64
	dark bool
}

type waveCache struct {
	sync.Mutex
	made map[waveID][]float64
}

func (c *waveCache) get(t timbre, hz float64, dark bool) []float64 {
	c.Lock()
	defer c.Unlock()
	id := waveID{t, hz, dark}
	if c.made[id] == nil {
		c.made[id] = wave(t, hz, dark)
	}
	return c.made[id]
}

// wave makes one cycle of a timbre without partials above 6 kHz. dark
// weakens the upper partials, as when a filter closes.
func wave(t timbre, hz float64, dark bool) []float64 {
	w := make([]float64, tableSize+1)
	for h := 1; float64(h)*hz < 6000 && h <= 40; h++ {
		a := 1 / float64(h)
		switch {
		case t == sine && h > 1, t == square && h%2 == 0:
			a = 0
		case t == plucked:
			a = math.Abs(math.Sin(math.Pi*float64(h)*0.23)) / float64(h)
		}
		if dark {
			a /= float64(h * h)
		}
		for i := range w {
			w[i] += a * math.Sin(2*math.Pi*float64(h*i)/tableSize)
		}
	}
	return w
}

// falls keeps how sounds die away, by rate in hertz and by how fast, so that no sample of a
// note costs an exponential.
var falls = struct {
	sync.Mutex
	made map[[2]float64][]float64
}{made: map[[2]float64][]float64{}}

// fall is exp(-fast t) for n samples at the rate, at least.
func fall(rate int, fast float64, n int) []float64 {
	falls.Lock()
	defer falls.Unlock()
	id := [2]float64{float64(rate), fast}
	x := falls.made[id]
	for i := len(x); i < n; i++ {
		x = append(x, math.Exp(-float64(i)/float64(rate)*fast))
	}
	falls.made[id] = x
	return x
}

// play adds one note to out.
func play(out []float64, rate int, t timbre, hz, level, start, seconds float64) {
	from := int(start * float64(rate))
	n := min(int(seconds*float64(rate)), len(out)-from)
	bright, dark := tables.get(t, hz, false), tables.get(t, hz, true)
	release := 0.01 * float64(rate)
	slow, fast, modulation := fall(rate, 2, n), fall(rate, 9, n), fall(rate, 6, n)
	for i := range max(n, 0) {
		x := float64(i) / float64(rate)
		env := level * min(1, x/0.004, float64(n-i)/release)
		if t == fm {
			index := 0.3 + 2*modulation[i]
			out[from+i] += env * math.Sin(2*math.Pi*hz*x+index*math.Sin(4*math.Pi*hz*x))
			continue
		}
		p := (hz*x - math.Floor(hz*x)) * tableSize
		j := int(p)
		b := bright[j] + (p-float64(j))*(bright[j+1]-bright[j])
		if t == plucked {
			d := dark[j] + (p-float64(j))*(dark[j+1]-dark[j])
			b = slow[i]*d + fast[i]*(b-d)
		}
		out[from+i] += env * b
	}
}

// strike adds one stroke of the drum kit to out.
func strike(out []float64, rate int, what byte, start float64, rnd *rand.Rand) {
	from := int(start * float64(rate))
	n := min(rate/3, len(out)-from)
	phase, last := 0.0, 0.0
	exp := func(fast float64) []float64 { return fall(rate, fast, n) }
	e9, e12, e18, e30, e35, e60 := exp(9), exp(12), exp(18), exp(30), exp(35), exp(60)
	for i := range max(n, 0) {
		noise := rnd.NormFloat64()
		var v float64
		switch what {
		case 'k':
			phase += (47 + 160*e35[i]) / float64(rate)
			v = 0.9 * e9[i] * math.Sin(2*math.Pi*phase)
		case 't':
			phase += (90 + 60*e12[i]) / float64(rate)
			v = 0.6 * e12[i] * math.Sin(2*math.Pi*phase)
		case 's':
			phase += 190 / float64(rate)
			v = e18[i]*0.25*noise + e30[i]*0.3*math.Sin(2*math.Pi*phase)
		case 'h':
			v = 0.2 * e60[i] * (noise - last)
			last = noise
		}
		out[from+i] += v
	}
}

// render plays a tune at the given rate.
func (t tune) render(rate int) []float32 {
	out := make([]float64, int(t.seconds*float64(rate)))
	rnd := rand.New(rand.NewPCG(1, uint64(len(t.notes))))
	beat := 60 / t.bpm
	for loop := 0.0; loop*t.beats*beat < t.seconds; loop++ {
		start := loop * t.beats * beat
		for _, n := range t.notes {
			hz := 440 * math.Exp2((n.pitch+t.up-69)/12+t.cents/1200)
			play(out, rate, t.timbre, hz, n.level, start+n.at*beat, n.beats*beat)
		}
		for _, h := range t.drums {
			strike(out, rate, h.what, start+h.at*beat, rnd)
		}
	}
	peak := 0.0
	for _, v := range out {
		peak = max(peak, math.Abs(v))
	}
	x := make([]float32, len(out))
	for i, v := range out {
		x[i] = float32(0.8 * v / max(peak, 1e-9))
	}
	return x
}

// fourOnTheFloor is the drum pattern of one bar of four beats, n times.
func fourOnTheFloor(bars int) (d []hit) {
	for b := range 4 * bars {
		at := float64(b)
		d = append(d, hit{at, 'k'}, hit{at + 0.5, 'h'}, hit{at + 0.25, 'h'}, hit{at + 0.75, 'h'})
		if b%2 == 1 {
			d = append(d, hit{at, 's'})
		}
	}
	return d
}

// breakbeat is a two-step pattern, one bar of four beats, n times.
func breakbeat(bars int) (d []hit) {
	for b := range bars {
		o := float64(4 * b)
		for _, at := range []float64{0, 2.5} {
			d = append(d, hit{o + at, 'k'})
		}
		for _, at := range []float64{1, 3, 1.75, 2.25} {
			d = append(d, hit{o + at, 's'})
		}
		for i := range 8 {
			d = append(d, hit{o + float64(i)/2, 'h'})
		}
		d = append(d, hit{o + 3.5, 't'}, hit{o + 3.75, 't'})
	}
	return d
}

// chords writes one chord a bar: each is given as semitones above the tonic,
// the first being the root, which the bass plays in eighths.
func chords(tonic float64, bars ...[]float64) (n []note) {
	for b, c := range bars {
		at := float64(4 * b)
		for _, s := range c {
			n = append(n, note{at, 3.9, tonic + s, 0.25})
		}
		n = append(n, bass(at, tonic-24+c[0])...)
	}
	return n
}

// bass plays eighths on one pitch for a bar, brought into the octave from E1.
func bass(at, pitch float64) (n []note) {
	for pitch >= 40 {
		pitch -= 12
	}
	for i := range 8 {
		n = append(n, note{at + float64(i)/2, 0.45, pitch, 0.5})
	}
	return n
}

// line writes a bass line in eighths, semitones above the tonic; rests are
// NaN.
func line(tonic float64, steps ...float64) (n []note) {
	for i, s := range steps {
		if !math.IsNaN(s) {
			n = append(n, note{float64(i) / 2, 0.45, tonic + s, 0.6})
		}
	}
	return n
}

// triad gives a chord on the scale step that lies the given semitones above
// the tonic.
func major(root float64) []float64 { return []float64{root, root + 4, root + 7} }
func minor(root float64) []float64 { return []float64{root, root + 3, root + 7} }
