package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// bassPlayer renders the notes of the bass, each once.
type bassPlayer struct {
	s     *Song
	waves map[int]*wave
	notes map[[3]int]clip
}

func newBassPlayer(s *Song) *bassPlayer {
	return &bassPlayer{s: s, waves: map[int]*wave{}, notes: map[[3]int]clip{}}
}

// hz is the frequency of a note so many semitones above the root.
func (b *bassPlayer) hz(semitones int) float64 { return b.s.Root * math.Pow(2, float64(semitones)/12) }

// fold keeps the bass within a fifth below and an octave above its root, where
// it still makes weight.
func fold(semitones int) int {
	for semitones < -5 {
		semitones += 12
	}
	for semitones > 12 {
		semitones -= 12
	}
	return semitones
}

func (b *bassPlayer) wave(semitones int) *wave {
	if w := b.waves[semitones]; w != nil {
		return w
	}
	hz, cut := b.hz(semitones), b.s.bassTone
	var w *wave
	switch b.s.timbre {
	case sine:
		w = newWave([]float64{1, 0.12, 0.05})
	case square, wobble:
		w = squareWave(hz, cut)
	case fm:
		w = new(wave)
		for i := range w {
			x := 2 * math.Pi * float64(i) / tableSize
			w[i] = math.Sin(x + 1.3*math.Sin(x) + 0.8*math.Sin(2*x)*cut/1300)
		}
	default:
		w = sawWave(hz, cut)
	}
	b.waves[semitones] = w
	return w
}

// note renders a note of some steps' length that glides in from another.
func (b *bassPlayer) note(semitones, from, steps16 int) clip {
	key := [3]int{semitones, from, steps16}
	if c, ok := b.notes[key]; ok {
		return c
	}
	c := newClip(float64(steps16) / 16 * b.s.stepSeconds())
	w := b.wave(semitones)
	a, d := oscillator{wave: w}, oscillator{wave: w, phase: 0.37}
	under := oscillator{wave: newWave([]float64{1})}
	to, start := b.hz(semitones), b.hz(from)
	for i := range c {
		t := float64(i) / sound.Rate
		hz := to * math.Pow(start/to, math.Exp(-t*18))
		v := a.next(hz)
		switch b.s.timbre {
		case reese:
			v = 0.5*(v+d.next(hz*1.007)) + 0.6*under.next(hz)
		case saw, square, fm:
			v += 0.5 * under.next(hz)
		}
		c[i] = v
	}
	b.shape(c)
	b.notes[key] = c
	return c
}

// shape filters and opens a note: plucked ones fall off, long ones stay.
func (b *bassPlayer) shape(c clip) {
	if b.s.timbre == wobble {
		low := append(clip(nil), c...)
		low.filter(sound.Pass(110, false))
		rate := 1 / (b.s.stepSeconds() * float64(2+2*int(b.s.density*3)))
		modulated(c, func(t float64) float64 {
			return 160 * math.Pow(b.s.bassTone*2/160, 0.5-0.5*math.Cos(2*math.Pi*rate*t))
		})
		low.into(c, 0, 0.6)
	}
	if b.s.bass.length < 2 {
		c.decay(0.12 + 0.4*b.s.density)
	}
	c.ends(0.004, 0.012)
}

// play renders a bar of bass into dst.
func (b *bassPlayer) play(dst []float64, bar int, gain float64) {
	chord := 0
	if b.s.Genre.Chords || b.s.bass.length > 3 {
		chord = fold(b.s.progression[bar%len(b.s.progression)])
	}
	last := chord
	for i, step := range b.s.bass.steps {
		semitones := chord
		for _, u := range b.s.bass.up {
			if u == i {
				semitones += 12
			}
		}
		from := semitones
		if b.s.bass.glide {
			from = last
			if i == 0 {
				from = semitones + 5
			}
		}
		last = semitones
		b.note(semitones, from, int(b.s.bass.length*16)).into(dst, b.s.stepStart(bar, step), gain)
	}
}
