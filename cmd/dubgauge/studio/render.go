package studio

import (
	"math"
	"math/rand/v2"

	"dubgauge/cmd/dubgauge/sound"
)

// Stems are the parts of a song, rendered and balanced, before they are summed.
type Stems struct {
	Song               *Song
	Kick, Bass         []float64 // mono
	Drums, Music, Room sound.Audio
}

// Stems renders the song.
func (s *Song) Stems() *Stems {
	n := s.Samples()
	st := &Stems{Song: s, Kick: make([]float64, n), Bass: make([]float64, n), Drums: sound.New(n), Music: sound.New(n)}
	kit, bass, player := s.newKit(), newBassPlayer(s), newPlayer(s)
	for bar := range s.Bars() {
		sec := s.at(bar)
		st.drumBar(kit, sec, bar)
		if sec.bass > 0 {
			bass.play(st.Bass, bar, sec.bass)
		}
		for i, l := range s.layers {
			if sec.music > 0 && (i == 0 || sec.music > 0.4) {
				player.play(st.Music, l, bar, sec.music/float64(1+i))
			}
		}
	}
	st.move()
	st.level()
	st.addRoom()
	return st
}

// drumBar plays a bar of drums, with a fill every eighth bar and effects where
// sections meet.
func (st *Stems) drumBar(k *kit, sec *Section, bar int) {
	s := st.Song
	r := source(s.Genre.Name, s.Seed, "bar "+string(rune('A'+bar)))
	fill := bar%8 == 7
	for _, step := range s.kick {
		if sec.kick > 0 && !(fill && step >= 12 && s.density > 0.5) {
			k.kick.into(st.Kick, s.stepStart(bar, step), sec.kick)
		}
	}
	hit := func(c clip, step int, gain, pan float64) {
		at := s.stepStart(bar, step)
		c.into(st.Drums.L, at, gain*math.Min(1, 1-pan))
		c.into(st.Drums.R, at, gain*math.Min(1, 1+pan))
	}
	for _, step := range s.snare {
		hit(pick(r, k.snare), step, 0.9*sec.drums, 0)
	}
	s.playHats(k, sec, r, hit)
	for _, step := range s.perc {
		c := pick(r, k.perc)
		hit(c, step, sec.drums*between(r, 0.2, 0.45), s.width*between(r, -0.9, 0.9))
	}
	if (sec.Kind == Drop || sec.Kind == Second) && s.density > 0.6 {
		for step := 0; step < 16; step += 4 {
			hit(k.ride, step, 0.25, 0.4*s.width)
		}
	}
	if fill {
		for step := 12; step < 16; step++ {
			hit(pick(r, k.snare), step, sec.drums*between(r, 0.3, 0.7), 0)
		}
	}
	meet(k, sec, bar, hit)
}

// playHats plays the hats of a bar, open ones among them.
func (s *Song) playHats(k *kit, sec *Section, r *rand.Rand, hit func(c clip, step int, gain, pan float64)) {
	for i, step := range s.hats {
		hit(pick(r, k.hat), step, sec.drums*between(r, 0.3, 0.5), 0.3*s.width)
		if i%2 == 0 && step%4 == 2 && s.density > 0.4 {
			hit(k.open, step, sec.drums*0.35, -0.2*s.width)
		}
	}
}

// meet marks where sections meet: a crash at the beginning of one, a riser before the end
// of a build or a break.
func meet(k *kit, sec *Section, bar int, hit func(c clip, step int, gain, pan float64)) {
	if bar == sec.Bar && bar > 0 {
		hit(k.crash, 0, 0.5*sec.drums, 0.2)
	}
	if rest := sec.Bar + sec.Bars - bar; rest == 4 && (sec.Kind == Build || sec.Kind == Break) {
		hit(k.rise, 0, 0.5, 0)
	}
}

// move opens a filter on the music through intro and build and closes it into
// the break, and pumps music and bass under the kick.
func (st *Stems) move() {
	s := st.Song
	for _, sec := range s.Sections {
		part := st.Music.Part(s.BarStart(sec.Bar), s.BarStart(sec.Bar+sec.Bars))
		switch sec.Kind {
		case Build:
			part.Both(func(x []float64) { sweep(x, 500, 14000, false) })
		case Break:
			if s.density < 0.5 {
				part.Both(func(x []float64) { sweep(x, 700, 16000, false) })
			}
		case Outro:
			part.Both(func(x []float64) { sweep(x, 12000, 900, false) })
		}
	}
	var starts []int
	for bar := range s.Bars() {
		if s.at(bar).kick > 0 {
			for _, step := range s.kick {
				starts = append(starts, s.stepStart(bar, step))
			}
		}
	}
	duck(st.Bass, starts, s.duckDepth, s.duckSeconds)
	st.Music.Both(func(x []float64) { duck(x, starts, 0.7*s.duckDepth, s.duckSeconds) })
}

// level sets the parts to the levels of the mix, by their power in the first
// drop.
func (st *Stems) level() {
	p := st.Song.parts
	d := st.dropSamples()
	set := func(dB, power float64, x ...[]float64) {
		if power > 0 {
			for _, c := range x {
				sound.Scale(c, math.Sqrt(math.Pow(10, dB/10)/power))
			}
		}
	}
	mono := func(x []float64) float64 { return sound.Audio{L: x, R: x}.Part(d[0], d[1]).Power() }
	set(p.kick, mono(st.Kick), st.Kick)
	set(p.bass, mono(st.Bass), st.Bass)
	st.Music.Filter(func() *sound.Biquad { return sound.Pass(140, true) })
	st.Drums.Filter(func() *sound.Biquad { return sound.Pass(90, true) })
	set(p.drums, st.Drums.Part(d[0], d[1]).Power(), st.Drums.L, st.Drums.R)
	set(p.music, st.Music.Part(d[0], d[1]).Power(), st.Music.L, st.Music.R)
}

// dropSamples are the ends of the first drop.
func (st *Stems) dropSamples() [2]int {
	d := st.Song.Section(Drop)
	return [2]int{st.Song.BarStart(d.Bar), st.Song.BarStart(d.Bar + d.Bars)}
}

// addRoom sends music and drums to the reverb.
func (st *Stems) addRoom() {
	send := make([]float64, len(st.Kick))
	for i := range send {
		send[i] = st.Music.L[i] + st.Music.R[i] + 0.25*(st.Drums.L[i]+st.Drums.R[i])
	}
	st.Room = room(send, st.Song.roomSeconds)
	st.Room.Filter(func() *sound.Biquad { return sound.Pass(250, true) })
	st.Room.Both(func(x []float64) { sound.Scale(x, 0.35*st.Song.wet) })
}

// Sum adds the parts up.
func (st *Stems) Sum() sound.Audio {
	a := sound.New(len(st.Kick))
	for _, part := range []sound.Audio{{L: st.Kick, R: st.Kick}, {L: st.Bass, R: st.Bass}, st.Drums, st.Music, st.Room} {
		a.Add(part, 1)
	}
	return a
}

// Mix sums the parts and sets the balance that the song's mixer has decided on.
func (st *Stems) Mix() sound.Audio {
	a := st.Sum()
	d := st.dropSamples()
	balance(a, a.Part(d[0], d[1]), st.Song)
	return a
}

// Mix renders the song and mixes it.
func (s *Song) Mix() sound.Audio { return s.Stems().Mix() }
