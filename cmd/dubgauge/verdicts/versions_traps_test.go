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

// TestVersionsTraps: what two tunes of one tempo and key may have in common without being
// one: drums, an intro of drums for 30 s, the hits of one pack, silence, a drone. A
// mash-up holds the music of both, where they come in turn, and of the one that leads, where
// they sound at once; whether the other is found depends on how loud it is.
func TestVersionsTraps(t *testing.T) {
	if testing.Short() {
		t.Skip("renders three songs")
	}
	g := studio.GenreNamed("house")
	one, two, three := ofOneKind(g, 41).Stems(), ofOneKind(g, 42).Stems(), ofOneKind(g, 43).Stems()
	intro := sound.New(len(three.Kick))
	intro.Add(sound.Audio{L: three.Kick, R: three.Kick}, 1)
	intro.Add(three.Drums, 1)
	n := intro.Len() / 3
	intro = intro.Part(n, n+30*sound.Rate)
	half := len(two.Kick) / 2
	turns := joined(one.Sum().Part(0, half), two.Sum().Part(half, 2*half))
	layers := two.Sum()
	layers.Add(one.Music, 1)
	names := []string{
		"one", "two", "drums of one, rest of two", "intro, one", "intro, two", "pack, one", "pack, two",
		"silence", "drone", "another drone", "in turn", "music of one over two",
	}
	var prints []fingerprint.Print
	for _, a := range []sound.Audio{
		one.Sum(), two.Sum(), mixed(one, two), joined(intro, one.Sum()), joined(intro, two.Sum()), overPack(one, three, 1), overPack(two, three, 2),
		sound.New(60 * sound.Rate), drone(110, 60), drone(123.5, 70), turns, layers,
	} {
		prints = append(prints, tunePrint(a))
	}
	// What holds the music of one, and of two.
	ones, twos := []string{"one", "intro, one", "in turn"}, []string{"two", "drums of one, rest of two", "intro, two", "in turn", "music of one over two"}
	may := func(a, b string) bool {
		of := func(list []string, more string) bool {
			list = append(slices.Clone(list), more)
			return slices.Contains(list, a) && slices.Contains(list, b)
		}
		return of(append(slices.Clone(ones), "music of one over two"), "pack, one") || of(twos, "pack, two")
	}
	must := [][2]string{{"one", "intro, one"}, {"one", "in turn"}, {"two", "intro, two"}, {"two", "in turn"}, {"two", "music of one over two"}}
	same := map[[2]string]bool{}
	f := fingerprint.NewIndex(prints).Finder()
	for i, p := range prints {
		for _, m := range f.Find(p, i) {
			a, b := names[i], names[m.Print]
			same[[2]string{a, b}], same[[2]string{b, a}] = true, true
			t.Logf("%s and %s: %.0f s, %.0f of them without repeats, %.2f of the bits differ", a, b, m.Seconds, m.Distinct, m.Differ)
			if !may(a, b) {
				t.Errorf("%s is taken for %s", a, b)
			}
		}
	}
	for _, m := range must {
		if !same[m] {
			t.Errorf("%s and %s are not found", m[0], m[1])
		}
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
