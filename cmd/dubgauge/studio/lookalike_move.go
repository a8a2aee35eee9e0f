package studio

import (
	"math"
	"math/rand/v2"
	"slices"

	"dubgauge/cmd/dubgauge/sound"
)

// moveLooks are sweeps, bends, pumping and panning: what moves in a mix on purpose.
func moveLooks() []Look {
	return []Look{
		{Name: "noise sweeps", stems: noiseSweeps},
		{Name: "bent leads and dives", stems: bentLeads},
		{Name: "deep side-chain", stems: deepSidechain},
		{Name: "auto-panned section", mix: pannedSection},
		{Name: "ping-pong delay", stems: func(st *Stems, r *rand.Rand) {
			pingPong(st.Music, st.Song.stepStart(0, pick(r, []int{2, 3, 4, 6})), between(r, 0.5, 0.8))
		}},
		{Name: "hard-cut vocal intro", mix: vocalIntro, master: func(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
			// The voice is cut at a point of the grid that the sampler was set to.
			return a.Part(s.stepStart(0, pick(r, []int{0, 2, 4, 6, 8, 12})), a.Len())
		}},
		{Name: "tremolo in time", mix: tremolo},
		{Name: "dropped bars", master: droppedBars},
	}
}

// tremolo raises and lowers the whole mix in time, in both channels or against each other,
// for the bars before the drop and the break.
func tremolo(a sound.Audio, s *Song, r *rand.Rand) {
	depth, period, apart := between(r, 0.4, 0.9), float64(s.stepStart(0, pick(r, []int{1, 2, 4, 8}))), r.IntN(2) == 0
	for _, bar := range []int{s.Section(Drop).Bar, s.Section(Break).Bar} {
		for i := s.BarStart(max(0, bar-8)); i < min(s.BarStart(bar), a.Len()); i++ {
			phase := 2 * math.Pi * float64(i) / period
			a.L[i] *= 1 - depth*(0.5-0.5*math.Cos(phase))
			if apart {
				phase += math.Pi
			}
			a.R[i] *= 1 - depth*(0.5-0.5*math.Cos(phase))
		}
	}
}

// droppedBars leaves out a bar, a half or a beat of the drops in one to three places, on the
// beat, as who shortens a track does, within 3 ms.
func droppedBars(a sound.Audio, s *Song, r *rand.Rand) sound.Audio {
	const fade = 3 * sound.Rate / 1000
	bars := s.loudBars(r, 1+r.IntN(3))
	slices.Sort(bars)
	slices.Reverse(bars)
	for _, bar := range bars {
		from, n := s.BarStart(bar), s.stepStart(0, pick(r, []int{4, 8, 16, 16}))
		if from+2*n > a.Len() {
			continue
		}
		for k := range fade {
			g := float64(k) / fade
			for _, x := range [][]float64{a.L, a.R} {
				x[from+n-fade+k] = (1-g)*x[from-fade+k] + g*x[from+n-fade+k]
			}
		}
		a = join(a.Part(0, from-fade), a.Part(from+n-fade, a.Len()))
	}
	return a
}

// noiseSweeps lay noise under eight bars of every sixteen, through a filter that opens in
// the first four and closes in the others, unlike in both channels.
func noiseSweeps(st *Stems, r *rand.Rand) {
	s := st.Song
	level := between(r, 0.05, 0.2)
	for bar := 4; bar+8 <= s.Bars(); bar += 16 {
		for _, x := range [][]float64{st.Music.L, st.Music.R} {
			c := noise(r, 8*s.barSeconds())
			half := len(c) / 2
			sweep(c[:half], 1500, 15000, false)
			sweep(c[half:], 15000, 1500, false)
			for i := range c {
				c[i] *= math.Sin(math.Pi * float64(i) / float64(len(c)))
			}
			c.into(x, s.BarStart(bar), level)
		}
	}
}

// bentLeads is a lead that slides into its notes and swings slowly, and dives by an octave
// or two at the end of every eighth bar.
func bentLeads(st *Stems, r *rand.Rand) {
	s, p := st.Song, newPlayer(st.Song)
	level, slow := between(r, 0.15, 0.35), between(r, 0.3, 0.9) // Hz, of the swing
	o, at := oscillator{wave: sawWave(p.base()*4, 6000)}, 0
	hz := p.base() * 2
	for bar := range s.Bars() {
		if s.at(bar).music < 0.3 {
			continue
		}
		for step := 0; step < 16; step += 4 {
			degree := max(0, p.motif[(bar%2)*8+step/2])
			want := 2 * p.base() * math.Pow(2, float64(scales[s.Minor][degree])/12)
			if bar%8 == 7 && step == 12 {
				want = p.base() / 2 // a dive
			}
			from, to := s.stepStart(bar, step), s.stepStart(bar, step+3)
			for i := from; i < min(to, len(st.Music.L)); i++ {
				hz *= math.Pow(want/hz, 1/(0.06*sound.Rate)) // a slide of 60 ms
				v := level * o.next(hz*(1+0.004*math.Sin(2*math.Pi*slow*float64(at)/sound.Rate)))
				v *= math.Min(1, math.Min(float64(i-from), float64(to-i))/(0.01*sound.Rate))
				at++
				st.Music.L[i] += v
				st.Music.R[i] += v
			}
		}
	}
}

// deepSidechain ducks everything but the kick to nearly nothing on every beat, in 2 to 5 ms,
// and lets it come back within half a beat.
func deepSidechain(st *Stems, r *rand.Rand) {
	s := st.Song
	depth, closing := sound.Decibels(-between(r, 30, 80)), between(r, 0.002, 0.005)*sound.Rate
	back := s.stepSeconds() * between(r, 1, 2) * sound.Rate
	pump := func(x []float64) {
		for bar := range s.Bars() {
			for beat := range 4 {
				from := s.BarStart(bar) + s.stepStart(0, 4*beat)
				for i := 0; i < int(closing+2*back) && from+i < len(x); i++ {
					g := 1 - float64(i)/closing
					if u := (float64(i) - closing) / (2 * back); u > 0 {
						g = u * u
					}
					x[from+i] *= math.Max(depth, g)
				}
			}
		}
	}
	pump(st.Bass)
	st.Music.Both(pump)
	st.Room.Both(pump)
}

// pannedSection moves the whole mix from side to side for the break and the bars before
// it, in steps on the beat or as a sine, as far as 6 dB or all the way.
func pannedSection(a sound.Audio, s *Song, r *rand.Rand) {
	sec := s.Section(Break)
	from, to := s.BarStart(max(0, sec.Bar-8)), s.BarStart(sec.Bar+sec.Bars)
	depth, steps, hard := between(r, 0.4, 0.95), pick(r, []int{4, 8, 16}), r.IntN(2) == 0
	period := float64(s.stepStart(0, steps))
	for i := from; i < min(to, a.Len()); i++ {
		g := math.Sin(2 * math.Pi * float64(i-from) / period)
		if hard {
			g = math.Max(-1, math.Min(1, g*20)) // edges of some milliseconds
		}
		a.L[i] *= math.Min(1, 1-depth*g)
		a.R[i] *= math.Min(1, 1+depth*g)
	}
}

// pingPong adds echoes that change sides.
func pingPong(a sound.Audio, every int, back float64) {
	mid := make([]float64, a.Len())
	for i := range mid {
		mid[i] = (a.L[i] + a.R[i]) / 2
	}
	l, r := make([]float64, a.Len()), make([]float64, a.Len())
	for i := every; i < a.Len(); i++ {
		l[i] = back * (mid[i-every] + r[i-every])
		r[i] = back * l[i-every]
	}
	sound.Mix(a.L, l, 0.7)
	sound.Mix(a.R, r, 0.7)
}

// vocalIntro is a voice alone before the music, which a sampler has cut out of somewhere: it
// has no fade in.
func vocalIntro(a sound.Audio, s *Song, r *rand.Rand) {
	end := s.BarStart(min(4, s.Section(Intro).Bars))
	a.Part(0, end).Both(silence)
	p := newPlayer(s)
	for i := range p.motif {
		p.motif[i] = max(0, p.motif[i]) // no rests: it is heard where it is cut
	}
	late := r.IntN(int(s.stepSeconds() * sound.Rate)) // a voice has a beat of its own
	for bar := 0; s.BarStart(bar) < end; bar++ {
		voice := p.phrase(bar % 2).L
		sound.Level(voice, -20)
		from := s.BarStart(bar) - late
		a.Part(0, end).Both(func(x []float64) { clip(voice[max(0, -from):]).into(x, max(0, from), 1) })
	}
}
