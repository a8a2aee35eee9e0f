package fingerprint

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// made is a print as music has it: a bit stays as it is from one step to the next four
// times of five.
func made(seed uint64, n int) Print {
	r := rand.New(rand.NewPCG(seed, 5))
	p, v := make(Print, n), r.Uint32()
	for i := range p {
		for k := range bitsPrint {
			if r.IntN(5) == 0 {
				v ^= 1 << k
			}
		}
		p[i] = max(1, v&(1<<bitsPrint-1))
	}
	return p
}

// worn is p with a share of its bits turned over, which in music come in heaps: one step
// of so many is as it was.
func worn(p Print, share float64, of int, seed uint64) Print {
	r := rand.New(rand.NewPCG(seed, 6))
	q := slices.Clone(p)
	for i := range q {
		for k := range bitsPrint {
			if p[i] != 0 && i%of != 0 && r.Float64() < share*float64(of)/float64(of-1) {
				q[i] ^= 1 << k
			}
		}
		if p[i] != 0 {
			q[i] = max(1, q[i])
		}
	}
	return q
}

func looped(p Print, n int) (q Print) {
	for len(q) < n {
		q = append(q, p...)
	}
	return q[:n]
}

// find looks for q among others and p, which comes last, and gives what it shares with p.
func find(t *testing.T, q, p Print) (Match, bool) {
	t.Helper()
	var others []Print
	for i := range 20 {
		others = append(others, made(uint64(1000+i), 900))
	}
	found := NewIndex(append(others, p)).Finder().Find(q, None)
	if len(found) == 0 {
		return Match{}, false
	}
	if m := found[0]; len(found) > 1 || m.Print != len(others) {
		t.Fatalf("%+v", found)
	}
	return found[0], true
}

// TestFind: what may be done to a print, and what it still shares then. The seconds
// follow from the lengths; a span blurs both ends by half its length.
func TestFind(t *testing.T) {
	p := made(1, 1000)
	other := made(2, 1000)
	const blur = span / 2 * Step
	for _, c := range []struct {
		name      string
		q         Print
		steps     int // that are the same
		at, there int // where that begins
		differ    float64
	}{
		{"itself", p, 1000, 0, 0, 0},
		{"worn", worn(p, 0.19, 10, 3), 1000, 0, 0, 0.19},
		{"worn, two of a hundred as they were", worn(p, 0.19, 50, 5), 1000, 0, 0, 0.19},
		{"cut short", p[300:700], 400, 0, 300, 0},
		{"a new intro", append(slices.Clone(other[:200]), p...), 1000, 200, 0, 0},
		{"a part left out", append(slices.Clone(p[:400]), p[600:]...), 800, 0, 0, 0},
		{"half of it within another", append(append(slices.Clone(other[:250]), p[200:600]...), other[250:500]...), 400, 250, 200, 0},
		{"too much worn", worn(p, 0.36, 10, 4), 0, 0, 0, 0},
		{"another", other, 0, 0, 0, 0},
		{"a quarter of it within another", append(slices.Clone(other), p[:250]...), 0, 0, 0, 0},
		{"under 16 s", p[100:187], 0, 0, 0, 0},
	} {
		m, found := find(t, c.q, p)
		if found != (c.steps > 0) {
			t.Errorf("%s: found %v, %+v", c.name, found, m)
			continue
		}
		if !found {
			continue
		}
		if math.Abs(m.Seconds-float64(c.steps)*Step) > 2*blur {
			t.Errorf("%s: %.0f s, want %.0f", c.name, m.Seconds, float64(c.steps)*Step)
		}
		if math.Abs(m.At-float64(c.at)*Step) > blur || math.Abs(m.There-float64(c.there)*Step) > blur {
			t.Errorf("%s: from %.1f, there %.1f, want %.1f and %.1f", c.name, m.At, m.There, float64(c.at)*Step, float64(c.there)*Step)
		}
		if math.Abs(m.Differ-c.differ) > 0.03 {
			t.Errorf("%s: %.2f of the bits differ, want %.2f", c.name, m.Differ, c.differ)
		}
	}
}

// TestSilenceIsNoMusic: what is silent in both is not the same music.
func TestSilenceIsNoMusic(t *testing.T) {
	p := append(append(made(1, 200), make(Print, 300)...), made(2, 200)...)
	if m, found := find(t, worn(p, 0.1, 10, 1), p); !found || math.Abs(m.Seconds-400*Step) > span*Step {
		t.Errorf("found %v, %.0f s, want %.0f", found, m.Seconds, 400*Step)
	}
	q := append(append(made(3, 200), make(Print, 300)...), made(4, 200)...)
	if m, found := find(t, q, p); found {
		t.Errorf("%+v", m)
	}
}

// TestFindLate: a print that begins between two steps of the other: where both steps
// agree in part, votes for both count.
func TestFindLate(t *testing.T) {
	p := made(1, 600)
	q := make(Print, 599)
	r := rand.New(rand.NewPCG(1, 1))
	for i := range q {
		q[i] = p[i+r.IntN(2)]
	}
	if m, found := find(t, q, p); !found || m.Seconds < 90 {
		t.Errorf("found %v, %+v", found, m)
	}
}

// TestLoops: a loop counts once, however often it comes, and silence not at all.
func TestLoops(t *testing.T) {
	bar, four, eight := made(1, 10), made(5, 41), made(2, 86) // 1.9 s, 7.6 s and 16 s
	silence := make(Print, 600)
	for _, c := range []struct {
		name  string
		p     Print
		least float64 // seconds that do not repeat; 0: no tune
		most  float64
	}{
		{"a bar", looped(bar, 900), 0, 0},
		{"four bars", looped(four, 900), 0, 9},
		{"eight bars", looped(eight, 900), 16, 17},
		{"silence", silence, 0, 0},
		{"a bar in silence", append(slices.Clone(bar), silence...), 0, 0},
		{"no loop", made(3, 900), 150, 168},
	} {
		m, found := find(t, c.p, c.p)
		if found != (c.least > 0) || found && (m.Distinct < c.least || m.Distinct > c.most) {
			t.Errorf("%s: found %v, %.1f s, want %.0f to %.0f", c.name, found, m.Distinct, c.least, c.most)
		}
	}
}

// TestRepeatsCountOnce: of a tune that plays its eight bars three times, another has them
// once: they are 16 s the same, not 48.
func TestRepeatsCountOnce(t *testing.T) {
	eight := made(1, 100)
	p, q := append(looped(eight, 300), made(2, 100)...), append(slices.Clone(eight), made(3, 50)...)
	for _, pair := range [][2]Print{{p, q}, {q, p}} {
		if m, found := find(t, pair[0], pair[1]); !found || math.Abs(m.Seconds-100*Step) > span*Step {
			t.Errorf("found %v, %.0f s, want %.0f", found, m.Seconds, 100*Step)
		}
	}
}

// TestCommonBar: two tunes over one loop, which lies under a third of each of them, are
// two; and so are two that share nothing else.
func TestCommonBar(t *testing.T) {
	loop := looped(made(1, 10), 400)
	p, q := append(slices.Clone(loop), made(2, 500)...), append(slices.Clone(loop), made(3, 500)...)
	if m, found := find(t, p, q); found {
		t.Errorf("%+v", m)
	}
}

// TestMashUp shares music with both tunes that it is made of.
func TestMashUp(t *testing.T) {
	p, q := made(1, 800), made(2, 800)
	mash := slices.Clone(p)
	for i := range mash {
		if i%100 < 50 {
			mash[i] = q[i]
		}
	}
	found := NewIndex([]Print{p, q}).Finder().Find(mash, None)
	if len(found) != 2 || found[0].Print != 0 || found[1].Print != 1 {
		t.Errorf("%+v", found)
	}
}

// TestNoneAmongOthers: among 600 prints of different music nobody is taken for another,
// and each is found.
func TestNoneAmongOthers(t *testing.T) {
	var all []Print
	for i := range 600 {
		all = append(all, made(uint64(i), 400))
	}
	f := NewIndex(all).Finder()
	for i, p := range all {
		if found := f.Find(p, None); len(found) != 1 || found[0].Print != i {
			t.Fatalf("%d: %+v", i, found)
		}
		if found := f.Find(p, i); len(found) != 0 {
			t.Fatalf("%d without itself: %+v", i, found)
		}
	}
}

// TestCommonSubprints: what stands everywhere says nothing and costs nothing.
func TestCommonSubprints(t *testing.T) {
	p := slices.Repeat(Print{0x5a5a5a}, 500)
	x := NewIndex([]Print{p, made(1, 500)})
	if n := len(x.votes(nil, p)); n != 0 {
		t.Errorf("%d votes", n)
	}
	if n := len(x.votes(nil, slices.Repeat(Print{0}, 500))); n != 0 {
		t.Errorf("%d votes for silence", n)
	}
}

// BenchmarkFind matches one new print of 6 minutes with 2,000; see BenchmarkMatchTunes of
// library/store for a whole library.
func BenchmarkFind(b *testing.B) {
	var all []Print
	for i := range 2000 {
		all = append(all, made(uint64(i), 1938))
	}
	f := NewIndex(all).Finder()
	b.ResetTimer()
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		f.Find(all[i%len(all)], i%len(all))
	}
}

// TestBestLags: votes for two distances next to each other count together, for the one
// that has more of them; those with the most come first, and few at most.
func TestBestLags(t *testing.T) {
	p := make(Print, 500)
	var f Finder
	at := func(laters ...int) []lag {
		var votes []uint64
		for _, l := range laters {
			votes = append(votes, uint64(l+1<<placeBits))
		}
		f.bestLags(p, p, votes)
		return f.lags
	}
	for _, c := range []struct {
		laters []int
		want   []lag
	}{
		{[]int{7, 7}, nil},
		{[]int{-7, -7, -7}, []lag{{-7, 3}}},
		{[]int{7, 7, 8}, []lag{{7, 3}}},
		{[]int{7, 8, 8}, []lag{{8, 3}}},
		{[]int{7, 7, 9, 9}, nil},
		{[]int{7, 7, 7, 7, 8}, []lag{{7, 5}}},
		{[]int{1, 1, 1, 50, 50, 50, 50}, []lag{{50, 4}, {1, 3}}},
		{[]int{1, 1, 1, 11, 11, 11, 21, 21, 21, 31, 31, 31, 41, 41, 41, 41}, []lag{{41, 4}, {1, 3}, {11, 3}, {21, 3}}},
	} {
		if got := at(c.laters...); !slices.Equal(got, c.want) {
			t.Errorf("%v: %v, want %v", c.laters, got, c.want)
		}
	}
	p = make(Print, 1000)
	if got := at(0, 0, 0, 0, 900, 900, 900); !slices.Equal(got, []lag{{900, 3}}) { // 4 of 1000, 3 of 100
		t.Errorf("%v", got)
	}
}
