package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// edgeLooks begin and end in ways of their own.
func edgeLooks() []Look {
	return []Look{
		{Name: "fade in", master: func(a sound.Audio, _ *Song, r *rand.Rand) sound.Audio {
			n := int(between(r, 6, 15) * sound.Rate)
			a.Part(0, n).Both(func(x []float64) { ramp(x, 0, 1) })
			return a
		}},
		{Name: "fade out", master: func(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
			sec := s.Section(Second)
			a = a.Part(0, s.BarStart(sec.Bar+sec.Bars))
			n := int(between(r, 8, 20) * sound.Rate)
			a.Part(a.Len()-n, a.Len()).Both(func(x []float64) { ramp(x, 1, 0) })
			return a
		}},
		{Name: "straight on the kick", master: func(a sound.Audio, s *Song, _ *rand.Rand) sound.Audio {
			return a.Part(s.BarStart(s.Section(Drop).Bar), a.Len()) // what leads in is cut on the bar line
		}},
		{Name: "hard end", stems: func(st *Stems, _ *rand.Rand) {
			at := st.Song.BarStart(st.Song.Section(Second).Bar)
			st.dry(func(x []float64) { gate(x, at-st.Song.stepStart(0, 8), at, 0.02, 1e-4) })
		}, master: func(a sound.Audio, s *Song, _ *rand.Rand) sound.Audio {
			a = a.Part(0, s.BarStart(s.Section(Second).Bar)) // half a bar after the last hit has decayed
			a.Part(a.Len()-sound.Rate/10, a.Len()).Both(func(x []float64) { ramp(x, 1, 0) })
			return a
		}},
	}
}

// ramp multiplies x by gains on a straight line.
func ramp(x []float64, from, to float64) {
	for i := range x {
		x[i] *= from + (to-from)*float64(i)/float64(len(x))
	}
}

// soundLooks are sounds that resemble what media add.
func soundLooks() []Look {
	return []Look{
		{Name: "crackle in the intro", mix: func(a sound.Audio, s *Song, r *rand.Rand) {
			crackle(a.Part(0, s.BarStart(s.Section(Drop).Bar)), r)
		}},
		{Name: "crackle throughout", mix: func(a sound.Audio, _ *Song, r *rand.Rand) { crackle(a, r) }},
		{Name: "risers and sub drops", stems: risers},
		{Name: "sustained 50 Hz bass", song: func(s *Song, r *rand.Rand) {
			s.Root = 440 * math.Pow(2, (31-69)/12.0) * math.Pow(2, between(r, -0.3, 0.7)/12) // about G, 49 to 51 Hz
			s.bass = bassLine{steps: []int{0}, length: 16}
			s.timbre, s.duckDepth = pick(r, []timbre{sine, saw, square}), 0.1
			s.progression = []int{0, 0, 0, 0}
		}},
		{Name: "glitch percussion", stems: func(st *Stems, r *rand.Rand) { glitches(st, r) }},
		{Name: "asymmetric kick", stems: func(st *Stems, r *rand.Rand) { bend(st.Kick, between(r, 0.3, 0.8)) }},
		{Name: "dry rim and hats", song: func(s *Song, _ *rand.Rand) { s.wet, s.layers = 0.02, s.layers[:1]; s.density = 0.1 }},
		{Name: "detuned tape music", stems: func(st *Stems, r *rand.Rand) {
			depth := between(r, 0.1, 0.35) // the music wavers, the drums don't
			st.Music.Both(func(x []float64) { wow(x, depth) })
		}},
	}
}

// crackle adds a loop of vinyl noise, as producers lay it under their music: one
// turn or a round number of seconds, over and over.
func crackle(a sound.Audio, r *rand.Rand) {
	loop := sound.New(int(pick(r, []float64{1.8, 2, 3.6, 4}) * sound.Rate))
	for range 10 + r.IntN(60) {
		c := clickShape(r)
		at, level := r.IntN(loop.Len()), math.Exp(-between(r, 0, 2.5))
		c.into(loop.L, at, level*between(r, 0.3, 1))
		c.into(loop.R, at, level*between(r, 0.3, 1))
	}
	level := sound.Decibels(between(r, -30, -18)) * math.Sqrt(a.Power()+1e-6) * 4
	for at := 0; at < a.Len(); at += loop.Len() {
		place(a, loop, at, level)
	}
}

// risers add rising noise before both drops and a falling sub on them.
func risers(st *Stems, r *rand.Rand) {
	s := st.Song
	for _, k := range []Kind{Drop, Second} {
		bar := s.Section(k).Bar
		up := s.riser(r)
		for _, x := range [][]float64{st.Music.L, st.Music.R} {
			up.into(x, s.BarStart(max(0, bar-4)), 0.4)
		}
		boom, phase := newClip(2*s.barSeconds()), 0.0
		for i := range boom {
			t := float64(i) / sound.Rate
			phase += (28 + 50*math.Exp(-t*1.2)) / sound.Rate
			boom[i] = math.Sin(2 * math.Pi * phase)
		}
		boom.ends(0.005, 1).into(st.Bass, s.BarStart(bar), 0.4)
	}
}

// glitches add short dry clicks on the grid, the same few in every bar.
func glitches(st *Stems, r *rand.Rand) {
	s := st.Song
	for range 3 + r.IntN(4) {
		c, step, pan := clickShape(r), r.IntN(16), between(r, -0.8, 0.8)
		for bar := range s.Bars() {
			if s.at(bar).drums > 0.5 {
				c.into(st.Drums.L, s.stepStart(bar, step), 0.35*math.Min(1, 1-pan))
				c.into(st.Drums.R, s.stepStart(bar, step), 0.35*math.Min(1, 1+pan))
			}
		}
	}
}

// bend makes the upper half waves of x smaller than the lower ones, without
// leaving a constant part: the mean of each 0.1 s stays nought by a high-pass.
func bend(x []float64, by float64) {
	for i, v := range x {
		if v > 0 {
			x[i] = v / (1 + by*3*v)
		}
	}
	sound.Pass(20, true).Run(x)
}
