package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// Look is a clean track with something musical in it that resembles a fault.
// What is done at each stage may be nil.
type Look struct {
	Name   string
	song   func(*Song, *rand.Rand)
	stems  func(*Stems, *rand.Rand)
	mix    func(sound.Audio, *Song, *rand.Rand)
	master func(sound.Audio, *Song, *rand.Rand) sound.Audio
}

// Lookalikes lists them.
func Lookalikes() []Look {
	list := append(stopLooks(), gridLooks()...)
	list = append(list, stereoLooks()...)
	list = append(list, edgeLooks()...)
	list = append(list, soundLooks()...)
	return append(list, moveLooks()...)
}

// Lookalike finds one by name; unknown names give a plain song.
func Lookalike(name string) Look {
	for _, l := range Lookalikes() {
		if l.Name == name {
			return l
		}
	}
	return Look{Name: name}
}

// Render makes the finished master of a song that has the look.
func (l Look) Render(s *Song) sound.Audio {
	r := source(l.Name, s.Seed, "look")
	if l.song != nil {
		l.song(s, r)
	}
	st := s.Stems()
	if l.stems != nil {
		l.stems(st, r)
	}
	mix := st.Mix()
	if l.mix != nil {
		l.mix(mix, s, r)
	}
	a := DefaultChain.Master(mix, s.LoudnessOffset)
	if l.master != nil {
		a = l.master(a, s, r)
	}
	return a
}

// gate multiplies x by 0 from one sample to another, closing and opening over so
// many seconds.
func gate(x []float64, from, to int, closing, opening float64) {
	a, b := max(1, int(closing*sound.Rate)), max(1, int(opening*sound.Rate))
	for i := max(0, from); i < min(to, len(x)); i++ {
		g := 1 - float64(i-from)/float64(a)
		g = math.Max(g, 1-float64(to-i)/float64(b))
		x[i] *= math.Max(0, g)
	}
}

// dry calls f with every channel of the parts without the reverb.
func (st *Stems) dry(f func([]float64)) {
	f(st.Kick)
	f(st.Bass)
	st.Drums.Both(f)
	st.Music.Both(f)
}

// bars draws n bars of the drops, other than their first.
func (s *Song) loudBars(r *rand.Rand, n int) []int {
	var out []int
	for range n {
		sec := s.Section(pick(r, []Kind{Drop, Second}))
		out = append(out, sec.Bar+1+r.IntN(sec.Bars-1))
	}
	return out
}

// stopLooks are stops of the whole arrangement, of one bar or of half a bar.
func stopLooks() []Look {
	stop := func(r *rand.Rand, s *Song, f func(from, to int)) {
		for _, bar := range s.loudBars(r, 1+r.IntN(3)) {
			length := pick(r, []int{16, 16, 8, 4})
			f(s.BarStart(bar)+s.stepStart(0, 16-length), s.BarStart(bar+1))
		}
	}
	return []Look{
		{Name: "stop with tail", stems: func(st *Stems, r *rand.Rand) {
			stop(r, st.Song, func(from, to int) { st.dry(func(x []float64) { gate(x, from, to, 0.01, 0.001) }) })
		}},
		{Name: "stop with delay throw", stems: func(st *Stems, r *rand.Rand) {
			stop(r, st.Song, func(from, to int) {
				beat := st.Song.stepStart(0, 3)
				throw(st.Music, from, beat)
				g := func(x []float64) { gate(x, from, to, 0.01, 0.001) }
				g(st.Kick)
				g(st.Bass)
				st.Drums.Both(g)
			})
		}},
		{Name: "hard stop in the mix", mix: func(a sound.Audio, s *Song, r *rand.Rand) {
			stop(r, s, func(from, to int) { a.Both(func(x []float64) { gate(x, from, to, between(r, 0.005, 0.04), 0.001) }) })
		}},
		{Name: "hard stop on the master", master: func(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
			stop(r, s, func(from, to int) { a.Both(func(x []float64) { gate(x, from, to, between(r, 0.02, 0.08), 0.001) }) })
			return a
		}},
		{Name: "tape stop and start", master: func(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
			bar := s.Section(Second).Bar - 1
			a.Both(func(x []float64) { tapeStop(x[s.BarStart(bar):s.BarStart(bar+1)]) })
			if r.IntN(2) == 0 {
				a.Both(func(x []float64) { tapeStart(x[:s.BarStart(1)]) })
			}
			return a
		}},
	}
}

// throw repeats the half second before a sample into the stop, each time weaker.
func throw(a sound.Audio, from, every int) {
	a.Both(func(x []float64) {
		for i := from; i < min(len(x), from+6*every); i++ {
			x[i] = 0
			if i >= every {
				x[i] = 0.6 * x[i-every]
			}
		}
	})
}

// tapeStop slows x down to a stand within its length, and then is silent.
func tapeStop(x []float64) {
	src := append([]float64(nil), x...)
	n := 0.7 * float64(len(x))
	for i := range x {
		u := math.Min(1, float64(i)/n)
		at := n * (u - u*u/2) // speed 1-u
		k := min(int(at), len(src)-2)
		f := at - float64(k)
		x[i] = (src[k]*(1-f) + src[k+1]*f) * math.Sqrt(1-u)
	}
}

// tapeStart brings x up to speed, so that it plays in time from the end of the
// start on: what comes at sample i of the rise is what lies n/2 (1-(i/n)^2)
// samples later than the beginning of the rise would say.
//
//	source(i) = n/2 + n/2 (i/n)^2,  speed i/n
func tapeStart(x []float64) {
	src := append([]float64(nil), x...)
	n := math.Floor(0.5 * float64(len(x)))
	for i := range int(n) {
		u := float64(i) / n
		at := n/2 + n/2*u*u
		k := int(at)
		f := at - float64(k)
		x[i] = (src[k]*(1-f) + src[k+1]*f) * math.Min(1, 4*u)
	}
}
