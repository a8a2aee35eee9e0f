package tempo

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// A small generator of music with exactly known beats. A voice is a sound of
// decaying noise or sines; a groove is a set of voices with a pattern a bar; a
// song renders a groove along a map from beats to seconds.

type voice int

const (
	kick voice = iota
	snare
	clap
	hat
	openHat
	rim
	shaker
	bass
	stab
	pad
	click
)

// sound renders voice v once, from its beginning, at level 1.
func sound(v voice, hz float64, rng *rand.Rand) []float32 {
	length, f := recipeOf(v, hz, rng)
	out := make([]float32, int(length*synthRate))
	for i := range out {
		out[i] = float32(f(float64(i) / synthRate))
	}
	return out
}

// decay rises to 1 within attack seconds and falls off exponentially after.
func decay(attack, fall float64) func(t float64) float64 {
	return func(t float64) float64 {
		if t < attack {
			return t / attack
		}
		return math.Exp(-(t - attack) / fall)
	}
}

// recipeOf gives the length of a sound in seconds and its value at a time.
func recipeOf(v voice, hz float64, rng *rand.Rand) (length float64, f func(t float64) float64) {
	last := 0.0
	highNoise := func() float64 { x := rng.NormFloat64(); y := x - last; last = x; return y / 2 }
	switch v {
	case kick:
		e := decay(0.001, 0.09)
		length, f = 0.4, func(t float64) float64 {
			return e(t) * math.Sin(2*math.Pi*(50*t+3.5*(1-math.Exp(-t/0.03))))
		}
	case snare:
		e, b := decay(0.001, 0.06), decay(0.001, 0.08)
		length, f = 0.3, func(t float64) float64 {
			return 0.4*e(t)*rng.NormFloat64() + 0.4*b(t)*math.Sin(2*math.Pi*190*t)
		}
	case clap:
		e := decay(0.002, 0.07)
		length, f = 0.3, func(t float64) float64 { return 0.4 * e(t) * rng.NormFloat64() }
	case hat:
		e := decay(0.0005, 0.02)
		length, f = 0.1, func(t float64) float64 { return 0.3 * e(t) * highNoise() }
	case openHat:
		e := decay(0.001, 0.09)
		length, f = 0.35, func(t float64) float64 { return 0.25 * e(t) * highNoise() }
	case rim:
		e := decay(0.0005, 0.015)
		length, f = 0.1, func(t float64) float64 { return 0.5 * e(t) * math.Sin(2*math.Pi*1700*t) }
	case shaker:
		e := decay(0.015, 0.03)
		length, f = 0.15, func(t float64) float64 { return 0.15 * e(t) * highNoise() }
	case bass:
		e := decay(0.004, 0.15)
		length, f = 0.5, func(t float64) float64 {
			return 0.4 * e(t) * (math.Sin(2*math.Pi*hz*t) + 0.5*math.Sin(4*math.Pi*hz*t) + 0.25*math.Sin(6*math.Pi*hz*t))
		}
	case stab:
		e := decay(0.003, 0.12)
		length, f = 0.5, func(t float64) float64 {
			x := 0.0
			for _, r := range []float64{4, 4.757, 5.993} {
				for k := 1.0; k <= 4; k++ {
					x += math.Sin(2*math.Pi*hz*r*k*t) / k
				}
			}
			return 0.08 * e(t) * x
		}
	case pad:
		e := func(t float64) float64 { return math.Min(t/0.4, 1) * math.Min(1, math.Max(0, (2.4-t)/0.6)) }
		length, f = 2.4, func(t float64) float64 {
			x := 0.0
			for _, r := range []float64{4, 4.757, 5.993, 8} {
				for k := 1.0; k <= 5; k++ {
					x += math.Sin(2*math.Pi*hz*r*k*t*(1+0.001*k)) / k
				}
			}
			return 0.05 * e(t) * x
		}
	case click:
		length, f = 0.01, func(t float64) float64 { return math.Exp(-t/0.002) * math.Sin(2*math.Pi*2000*t+1) }
	}
	return length, f
}

// pure are the voices without noise, which sound the same in all songs; they are rendered once.
var pure = map[voice]bool{kick: true, rim: true, bass: true, stab: true, pad: true, click: true}

// pureSounds holds a []float32 for each kitKey.
var pureSounds sync.Map

// take is one take of a sound.
func (k *kit) take(key kitKey) []float32 {
	if x, ok := k.sounds[key]; ok {
		return x
	}
	if !pure[key.v] {
		k.sounds[key] = sound(key.v, key.hz, k.rng)
		return k.sounds[key]
	}
	once := kitKey{key.v, key.hz, 0}
	x, ok := pureSounds.Load(once)
	if !ok {
		x, _ = pureSounds.LoadOrStore(once, sound(key.v, key.hz, nil))
	}
	k.sounds[key] = x.([]float32)
	return k.sounds[key]
}

// kit keeps rendered sounds, a few takes of each.
type kit struct {
	sounds map[kitKey][]float32
	rng    *rand.Rand
}

type kitKey struct {
	v    voice
	hz   float64
	take int
}

// hit adds a sound to out from the (fractional) sample s on.
func (k *kit) hit(out []float32, s float64, v voice, level, hz float64) {
	if v < bass {
		hz = 0
	}
	x := k.take(kitKey{v, hz, k.rng.IntN(3)})
	first := int(math.Floor(s))
	f := float32(s - float64(first))
	g, last := float32(level), float32(0)
	for i, y := range x {
		if j := first + i; j >= 0 && j < len(out) {
			out[j] += g * ((1-f)*y + f*last)
		}
		last = y
	}
}

// groove is what is played in a bar of four beats: a string a voice, each of
// 16 steps ("x" loud, "o" soft, "." nothing), 12 steps for triplets, or 32, 24
// or more for two bars.
type groove map[voice]string

// song is a piece to be rendered.
type song struct {
	groove  groove
	bpm     float64
	seconds float64
	swing   float64                    // percent, 0 for straight
	clock   func(beat float64) float64 // seconds of a beat; nil for the steady bpm
	offset  float64                    // seconds before beat 0
	intro   float64                    // beats of pad alone
	vary    float64                    // chance of a change to a step in a bar
	jitter  float64                    // standard deviation of the times, seconds
	breaks  bool                       // bars 24 to 32 of each 64 have no drums
	gain    float64
	seed    uint64
}

const synthRate = 44100

// steady is the clock of a constant tempo.
func steady(bpm float64) func(float64) float64 {
	return func(b float64) float64 { return b * 60 / bpm }
}

func (s song) render() [][]float32 {
	rng := rand.New(rand.NewPCG(s.seed, 77))
	k := &kit{sounds: map[kitKey][]float32{}, rng: rng}
	clock := s.clock
	if clock == nil {
		clock = steady(s.bpm)
	}
	n := int(s.seconds * synthRate)
	drums, tonal := make([]float32, n), make([]float32, n)
	voices := slices.Sorted(maps.Keys(s.groove))
	roots := []float64{55, 55, 43.65, 49, 55, 65.41, 49, 41.2}
	for bar := 0; clock(float64(4*bar))+s.offset < s.seconds; bar++ {
		root := roots[bar/2%len(roots)]
		quiet := float64(4*bar) < s.intro
		broken := s.breaks && bar%32 >= 20 && bar%32 < 28
		for _, v := range voices {
			if (quiet && v != pad) || (broken && v <= rim && v != hat) {
				continue
			}
			p := s.groove[v]
			per := 16
			if len(p)%16 != 0 {
				per = 12
			}
			out, hz := drums, root
			if v >= bass {
				out = tonal
			}
			for i := range per {
				c := p[(bar*per+i)%len(p)]
				level := map[byte]float64{'x': 1, 'o': 0.4, '.': 0}[c]
				if s.vary > 0 && rng.Float64() < s.vary && v != kick && v != pad {
					level = []float64{0, 0, 0.3, 0.6}[rng.IntN(4)]
				}
				if level == 0 {
					continue
				}
				beat := float64(i) * 4 / float64(per)
				if s.swing > 0 && per == 16 && i%2 == 1 {
					beat = float64(i-1)/4 + s.swing/200
				}
				t := clock(float64(4*bar)+beat) + s.offset + s.jitter*rng.NormFloat64()
				if v == bass && i%8 >= 6 {
					hz = root * 1.5
				} else {
					hz = root
				}
				k.hit(out, t*synthRate, v, level, hz)
			}
		}
	}
	gain := s.gain
	if gain == 0 {
		gain = 0.5
	}
	l, r := drums, tonal
	for i := range l {
		d, t := float64(l[i]), float64(r[i])
		l[i] = float32(math.Tanh(gain * (d + 0.8*t)))
		r[i] = float32(math.Tanh(gain * (d + 1.1*t)))
	}
	return [][]float32{l, r}
}

// The grooves are the plain forms that drum tuition has; common practice, no source.
var grooves = map[string]groove{
	"four on the floor":     {kick: "x...x...x...x...", hat: "..x...x...x...x.", clap: "....x.......x...", bass: "..x...x...x...x.", stab: "x.....x...x....."},
	"house with sixteenths": {kick: "x...x...x...x...", openHat: "..x...x...x...x.", shaker: "xoxoxoxoxoxoxoxo", clap: "....x.......x...", bass: "x..x..x...x..x..", stab: "...x..x....x..x."},
	"minimal":               {kick: "x...x...x...x...", rim: "...x..x.....x...", hat: "..x...x...x...x.", bass: "..xx....x.x....x"},
	"broken beat":           {kick: "x..x......x.....", snare: "....x..o.o..x..o", hat: "x.xxx.x.x.xxx.x.", bass: "x..x..x...x....."},
	"two step":              {kick: "x.........x.....", snare: "....x.......x...", hat: "x.x.x.xxx.x.x.x.", rim: "...o..o....o....", bass: "x.....x...x..x.."},
	"drum and bass":         {kick: "x.........x.....", snare: "....x.......x...", hat: "x.x.x.x.x.x.x.x.", shaker: "oooooooooooooooo", bass: "x.......x.....x."},
	"break":                 {kick: "x.x.......xx....", snare: "....x..o.o..x..o", openHat: "..............x.", hat: "x.x.x.x.x.x.x.x.", bass: "x.....x.x......."},
	"half time":             {kick: "x.........o.....", snare: "........x.......", hat: "x.o.x.o.x.o.x.oo", bass: "x.....x...x..x.."},
	"shuffled":              {kick: "x..x..x..x..", hat: "x.xx.xx.xx.x", snare: "...x.....x..", bass: "x.xx..x.xx.x"},
	"triplets":              {kick: "x..x..x..x..", hat: "xoxxoxxoxxox", clap: "...x.....x..", stab: "x.x.x.x.x.x."},
	"reggae":                {kick: "........x.......", rim: "........x.......", hat: "x.x.x.x.x.x.x.x.", stab: "....x.......x...", bass: "x..x....x.x..x.."},
	"steppers":              {kick: "x...x...x...x...", hat: "x.xxx.xxx.xxx.xx", stab: "..x...x...x...x.", snare: "........x.......", bass: "x..x..x.x......."},
	"breaks 3-3-2":          {kick: "x..x..x.x..x..x.", clap: "....x.......x...", hat: "x.x.x.x.x.x.x.x.", stab: "x..x..x.x..x..x."},
	"electro":               {kick: "x.....x...x.....", snare: "....x.......x...", hat: "xxxxxxxxxxxxxxxx", bass: "x.xx..x.x.xx..x."},
	"trance without drums":  {stab: "x.xxx.xxx.xxx.xx", bass: "..x...x...x...x.", pad: "x..............."},
	"arpeggio":              {stab: "x.o.x.o.x.o.x.o.", pad: "x..............."},
	"bass and chords":       {bass: "x.x.x.x.x.x.x.x.", pad: "x...............", stab: "x.......x......."},
}

// ramp goes from bpm to bpm*(1+percent/100) over the given seconds, evenly in
// time.
//
//	b(t) = bpm/60 (t + p t^2 / 2T), solved for t
func ramp(bpm, percent, seconds float64) func(float64) float64 {
	p := percent / 100 / seconds
	return func(b float64) float64 {
		t := b * 60 / bpm
		if p == 0 {
			return t
		}
		return (math.Sqrt(max(0, 1+2*p*t)) - 1) / p
	}
}

// step changes from one tempo to another at the given time.
func step(bpm, then, at float64) func(float64) float64 {
	return func(b float64) float64 {
		if t := b * 60 / bpm; t < at {
			return t
		}
		return at + (b-at*bpm/60)*60/then
	}
}

// live wanders about bpm: a sum of slow sines of the given depth in percent.
func live(bpm, percent float64) func(float64) float64 {
	return func(b float64) float64 {
		t := b * 60 / bpm
		for i, period := range []float64{90, 37, 19} {
			t += percent / 100 * period / (2 * math.Pi) * math.Sin(2*math.Pi*t/period+float64(i)) / []float64{1, 2, 3}[i]
		}
		return t
	}
}
