package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// gridLooks are edits on the beat grid and moving filters.
func gridLooks() []Look {
	return []Look{
		{Name: "gated pads", stems: func(st *Stems, r *rand.Rand) {
			s, open := st.Song, between(r, 0.4, 0.7)
			for step := range 16 * s.Bars() {
				from := s.stepStart(0, 0) + int(float64(step)*s.stepSeconds()*sound.Rate)
				n := s.stepSeconds() * sound.Rate
				st.Music.Both(func(x []float64) { gate(x, from+int(open*n), from+int(n), 0.002, 0.002) })
			}
		}},
		{Name: "gated break", mix: func(a sound.Audio, s *Song, r *rand.Rand) {
			sec, open := s.Section(Break), between(r, 0.4, 0.7)
			eighth := 2 * s.stepSeconds() * sound.Rate
			for i := range sec.Bars * 8 {
				from := s.BarStart(sec.Bar) + int(float64(i)*eighth)
				a.Both(func(x []float64) { gate(x, from+int(open*eighth), from+int(eighth), 0.002, 0.002) })
			}
		}},
		{Name: "stutter", master: func(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
			for _, bar := range s.loudBars(r, 1+r.IntN(4)) {
				stutter(a, s, bar, pick(r, []int{1, 2, 4}))
			}
			return a
		}},
		{Name: "low-pass sweep", mix: func(a sound.Audio, s *Song, _ *rand.Rand) {
			sec := s.Section(Break)
			a.Part(s.BarStart(sec.Bar), s.BarStart(sec.Bar+sec.Bars)).Both(func(x []float64) { sweep(x, 180, 16000, false) })
		}},
		{Name: "high-pass sweep", mix: func(a sound.Audio, s *Song, _ *rand.Rand) {
			sec := s.Section(Build)
			a.Part(s.BarStart(sec.Bar), s.BarStart(sec.Bar+sec.Bars)).Both(func(x []float64) { sweep(x, 30, 900, true) })
		}},
	}
}

// stutter repeats the first sixteenths of a bar's last beat up to the bar line,
// each piece closed within 2 ms.
func stutter(a sound.Audio, s *Song, bar, steps int) {
	from, to := s.BarStart(bar)+s.stepStart(0, 8), s.BarStart(bar+1)
	n := int(float64(steps) * s.stepSeconds() * sound.Rate)
	fade := sound.Rate / 500
	a.Both(func(x []float64) {
		for i := from + n; i < to; i++ {
			x[i] = x[from+(i-from)%n]
		}
		for at := from + n; at <= to; at += n {
			for k := range fade {
				g := float64(k) / float64(fade)
				x[at-fade+k] *= 1 - g
				x[min(at+k, len(x)-1)] *= g
			}
		}
	})
}

// stereoLooks are what a mix may do with its two channels.
func stereoLooks() []Look {
	return []Look{
		{Name: "one-sided percussion", stems: func(st *Stems, r *rand.Rand) {
			clear(st.Drums.R)
			sound.Mix(st.Drums.R, st.Drums.L, between(r, 0.02, 0.3))
			if r.IntN(2) == 0 {
				st.Drums.L, st.Drums.R = st.Drums.R, st.Drums.L
			}
		}},
		{Name: "call and response", stems: func(st *Stems, _ *rand.Rand) {
			for bar := range st.Song.Bars() {
				p := st.Music.Part(st.Song.BarStart(bar), st.Song.BarStart(bar+1))
				side := [][]float64{p.L, p.R}[bar%2]
				sound.Scale(side, 0.05)
			}
		}},
		{Name: "wide pads", song: func(s *Song, _ *rand.Rand) { s.width = 1; s.layers = append([]layer{pad}, s.layers...) },
			stems: func(st *Stems, r *rand.Rand) { widen(st.Music, between(r, 1.5, 2.5)) }},
		{Name: "haas lead", song: func(s *Song, _ *rand.Rand) { s.layers = append([]layer{lead}, s.layers...) },
			stems: func(st *Stems, r *rand.Rand) {
				late := int(between(r, 0.008, 0.025) * sound.Rate)
				copy(st.Music.R[late:], st.Music.L[:len(st.Music.L)-late])
			}},
		{Name: "mono spoken intro", mix: monoIntro},
		{Name: "auto-pan", stems: func(st *Stems, r *rand.Rand) {
			hz := 1 / (st.Song.barSeconds() * pick(r, []float64{0.5, 1, 2, 4}))
			for i := range st.Music.L {
				g := 0.95 * math.Sin(2*math.Pi*hz*float64(i)/sound.Rate)
				st.Music.L[i] *= math.Min(1, 1-g)
				st.Music.R[i] *= math.Min(1, 1+g)
			}
		}},
	}
}

// widen raises the difference of the channels.
func widen(a sound.Audio, by float64) {
	for i := range a.L {
		m, d := (a.L[i]+a.R[i])/2, (a.L[i]-a.R[i])/2*by
		a.L[i], a.R[i] = m+d, m-d
	}
}

// monoIntro puts a voice alone, in the middle, before the music: syllables with
// pauses between them.
func monoIntro(a sound.Audio, s *Song, r *rand.Rand) {
	end := s.BarStart(s.Section(Intro).Bars)
	a.Part(0, end).Both(silence)
	p := newPlayer(s)
	for bar := 0; s.BarStart(bar) < end; bar++ {
		voice := p.phrase(bar % 2).L
		sound.Level(voice, -24)
		if r.Float64() < 0.8 {
			a.Part(0, end).Both(func(x []float64) { clip(voice).into(x, s.BarStart(bar), 1) })
		}
	}
}
