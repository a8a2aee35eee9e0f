package main

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect/fingerprint"
)

// mixed sums the drums of one song and the music of another.
func mixed(drums, music *studio.Stems) sound.Audio {
	n := min(len(drums.Kick), len(music.Kick))
	a := sound.New(n)
	a.Add(sound.Audio{L: drums.Kick, R: drums.Kick}, 1)
	a.Add(drums.Drums, 1)
	a.Add(sound.Audio{L: music.Bass, R: music.Bass}, 1)
	a.Add(music.Music, 1)
	return a
}

// TestVersionsTraps: what two tunes may have in common without being one.
func TestVersionsTraps(t *testing.T) {
	if testing.Short() {
		t.Skip("renders songs")
	}
	g := studio.GenreNamed("house")
	one, two, three := ofOneKind(g, 41).Stems(), ofOneKind(g, 42).Stems(), ofOneKind(g, 43).Stems()
	intro := sound.New(len(three.Kick))
	intro.Add(sound.Audio{L: three.Kick, R: three.Kick}, 1)
	intro.Add(three.Drums, 1)
	n := intro.Len() / 3
	intro = intro.Part(n, n+30*sound.Rate)
	mash := one.Sum()
	mash.Add(two.Sum(), 1)
	audio := map[string]sound.Audio{
		"one": one.Sum(), "two": two.Sum(), "drums of one under two": mixed(one, two),
		"intro, one": joined(intro, one.Sum()), "intro, two": joined(intro, two.Sum()),
		"pack, one": overPack(one, three, 1), "pack, two": overPack(two, three, 2),
		"silence": sound.New(60 * sound.Rate), "drone": drone(110, 60), "drone again": drone(110.7, 70), "mash-up": mash,
	}
	names := slices.Sorted(func(yield func(string) bool) {
		for n := range audio {
			if !yield(n) {
				return
			}
		}
	})
	var prints []fingerprint.Print
	for _, n := range names {
		prints = append(prints, tunePrint(audio[n]))
	}
	same := map[string]map[string]fingerprint.Match{}
	f := fingerprint.NewIndex(prints).Finder()
	for i, p := range prints {
		same[names[i]] = map[string]fingerprint.Match{}
		for _, m := range f.Find(p) {
			same[names[i]][names[m.Print]] = m
		}
		t.Log(names[i], same[names[i]])
	}
}

// overPack plays hits of the drums of pack in patterns of its own under the music of a
// song.
func overPack(song, pack *studio.Stems, seed uint64) sound.Audio {
	r := rand.New(rand.NewPCG(seed, 7))
	a := song.Music.Clone()
	step := int(15 / song.Song.BPM * sound.Rate)
	from := len(pack.Kick) / 3
	hits := make([]sound.Audio, 8)
	for i := range hits {
		at := from + 2*i*step
		hits[i] = pack.Drums.Part(at, at+step)
	}
	var pattern [32]int
	for i := range pattern {
		pattern[i] = r.IntN(2 * len(hits))
	}
	for i := 0; (i+1)*step < a.Len(); i++ {
		if h := pattern[i%len(pattern)]; h < len(hits) {
			a.Part(i*step, (i+1)*step).Add(hits[h], 1)
		}
	}
	return a
}

// drone is a chord that stands still.
func drone(hz, seconds float64) sound.Audio {
	a := sound.New(int(seconds * sound.Rate))
	for i := range a.L {
		at := float64(i) / sound.Rate
		for k, ratio := range []float64{1, 1.25, 1.5, 2, 3.01} {
			a.L[i] += 0.1 * math.Sin(2*math.Pi*hz*ratio*at+float64(k))
		}
		a.R[i] = a.L[i]
	}
	return a
}
