package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// player renders the layers above the bass into stereo.
type player struct {
	s     *Song
	r     *rand.Rand
	cache map[[4]int]sound.Audio
	motif []int // degrees of the scale of a phrase, two bars of eighths, -1 for rests
	stabs []int // steps
	vowel [2][3]float64
}

var stabSteps = [][]int{{3, 6, 11}, {0, 3, 6, 10}, {2, 5, 10, 13}, {0, 6, 12}, {4, 12}, {7, 10, 15}}

// vowels as three formants in Hz (G. E. Peterson and H. L. Barney, 1952, men).
var vowels = [][3]float64{{730, 1090, 2440}, {530, 1840, 2480}, {270, 2290, 3010}, {570, 840, 2410}, {300, 870, 2240}}

func newPlayer(s *Song) *player {
	r := source(s.Genre.Name, s.Seed, "music")
	p := &player{s: s, r: r, cache: map[[4]int]sound.Audio{}, stabs: pick(r, stabSteps)}
	for range 16 {
		if r.Float64() < 0.35-0.25*s.density {
			p.motif = append(p.motif, -1)
		} else {
			p.motif = append(p.motif, r.IntN(7))
		}
	}
	p.vowel = [2][3]float64{pick(r, vowels), pick(r, vowels)}
	return p
}

// scale of natural minor and of major, in semitones.
var scales = map[bool][7]int{true: {0, 2, 3, 5, 7, 8, 10}, false: {0, 2, 4, 5, 7, 9, 11}}

// base is the root of the music: the bass's, so many octaves up that it lies
// between 130 and 260 Hz.
func (p *player) base() float64 {
	hz := p.s.Root
	for hz < 130 {
		hz *= 2
	}
	return hz
}

// chord of a bar: the triad with a seventh on its root, kept within an octave and
// a half.
func (p *player) chord(bar int) []int {
	root := p.s.progression[bar%len(p.s.progression)]
	third := 3
	if root == -4 || root == -2 || root == 3 || !p.s.Minor {
		third = 4
	}
	return []int{root, root + third, root + 7, root + 12 + 3*int(2*p.s.density)}
}

// tone renders a detuned pair for each side.
func (p *player) tone(semitones, tenths int, cut, tail float64) sound.Audio {
	key := [4]int{semitones, tenths, int(cut), int(tail * 1000)}
	if a, ok := p.cache[key]; ok {
		return a
	}
	hz := p.base() * math.Pow(2, float64(semitones)/12)
	w := sawWave(hz, cut)
	n := int(float64(tenths) / 10 * p.s.stepSeconds() * sound.Rate)
	a := sound.New(n)
	for i, x := range [][]float64{a.L, a.R} {
		one := oscillator{wave: w, phase: 0.1 + 0.3*p.s.width*float64(i)}
		two := oscillator{wave: w, phase: 0.5}
		spread := 1 + 0.006*p.s.width*(float64(i)-0.4)
		for j := range x {
			x[j] = one.next(hz*spread) + two.next(hz/spread)
		}
		clip(x).decay(tail).ends(0.004, 0.02)
	}
	p.cache[key] = a
	return a
}

// play renders one bar of a layer.
func (p *player) play(dst sound.Audio, l layer, bar int, gain float64) {
	switch l {
	case pad:
		for _, n := range p.chord(bar) {
			place(dst, p.tone(n, 165, p.s.brightness*0.6, 9), p.s.stepStart(bar, 0), 0.28*gain)
		}
	case stab:
		for _, step := range p.stabs {
			for _, n := range p.chord(bar) {
				place(dst, p.tone(n+12, 20, p.s.brightness, 0.12), p.s.stepStart(bar, step), 0.4*gain)
			}
		}
	case arp:
		p.notes(dst, bar, 1, gain*0.6, func(step int) int { return p.chord(bar)[step%4] + 12*(1+step/4%2) })
	case lead:
		p.notes(dst, bar, 2, gain*0.7, func(step int) int {
			degree := p.motif[(bar%2*16+step)/2%16]
			if degree < 0 {
				return rest
			}
			return scales[p.s.Minor][degree] + 12
		})
	case vocal:
		p.sing(dst, bar, gain)
	}
}

// rest is no note.
const rest = -100

func (p *player) notes(dst sound.Audio, bar, every int, gain float64, note func(step int) int) {
	for step := 0; step < 16; step += every {
		if n := note(step); n != rest {
			place(dst, p.tone(n, 9*every, p.s.brightness*1.4, 0.09*float64(every)), p.s.stepStart(bar, step), gain)
		}
	}
}

func place(dst, src sound.Audio, at int, gain float64) {
	if at >= dst.Len() {
		return
	}
	dst.Part(at, dst.Len()).Add(src, gain)
}

// sing renders a phrase of two bars once and repeats it: a glottal saw through
// the formants of two vowels.
func (p *player) sing(dst sound.Audio, bar int, gain float64) {
	key := [4]int{-1, bar % 2}
	if _, ok := p.cache[key]; !ok {
		p.cache[key] = p.phrase(bar % 2)
	}
	place(dst, p.cache[key], p.s.stepStart(bar, 0), gain)
}

func (p *player) phrase(half int) sound.Audio {
	voice := newClip(p.s.barSeconds())
	for i := range 4 {
		degree := p.motif[half*8+i*2]
		if degree < 0 {
			continue
		}
		n := newClip(p.s.barSeconds() / 4.4)
		hz := p.base() * math.Pow(2, float64(scales[p.s.Minor][degree])/12)
		o := oscillator{wave: sawWave(hz, 4000)}
		for j := range n {
			n[j] = o.next(hz * (1 + 0.006*math.Sin(2*math.Pi*5.5*float64(j)/sound.Rate)))
		}
		mouth := newClip(p.s.barSeconds() / 4.4)
		for k, f := range p.vowel[(half+i)%2] {
			append(clip(nil), n...).filter(sound.Band(f, 7)).into(mouth, 0, 2/float64(1+k))
		}
		mouth.ends(0.03, 0.06).into(voice, p.s.stepStart(0, 4*i), 1.2)
	}
	return sound.Audio{L: voice, R: voice}
}
