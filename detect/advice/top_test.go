package advice

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// The figure is the gain of a high shelf at 8 kHz: 1 for 1 dB of it, and nearly nothing for a
// level that is common to all bands. By the filter's own response.
func TestTopIsTheGainOfAShelf(t *testing.T) {
	flat := music()
	for _, dB := range []float64{-4, -2, 2, 4} {
		if got := topOf(bent(0, high(8000, dB))) - topOf(flat); math.Abs(got-dB) > 0.15 {
			t.Errorf("%g dB of the shelf: %.2f", dB, got)
		}
		if got := topOf(bent(dB)) - topOf(flat); math.Abs(got) > 0.15 {
			t.Errorf("%g dB louder: %.2f", dB, got)
		}
		if got := topOf(bent(0, low(100, dB))) - topOf(flat); math.Abs(got) > 0.05 {
			t.Errorf("%g dB of a low shelf: %.2f", dB, got)
		}
	}
	short := music()
	short.LoudestDB = short.LoudestDB[:topFirst+len(topWeights)-1]
	cut := music()
	cut.BandwidthHz = 16000
	for _, s := range []detect.Spectrum{short, cut, {}} {
		if !math.IsNaN(topOf(s)) {
			t.Error("a figure of bands that are not there")
		}
	}
}

// shelf is music with so many dB of a high shelf at 8 kHz, in proportion to 1 dB of it.
func shelf(dB float64) detect.Spectrum {
	s, one := music(), high(8000, 1).tuned()
	for b := topFirst - 3; b < len(s.LoudestDB); b++ {
		s.LoudestDB[b] += detect.Value(dB * one.over(b))
	}
	return s
}

// shelved are spectra whose tops differ by so many dB of a shelf, one standard deviation.
func shelved(r *rand.Rand, n int, sd float64) (out []detect.Spectrum) {
	for range n {
		out = append(out, shelf(sd*r.NormFloat64()))
	}
	return out
}

// A shelf far below the top does all of its gain there, one at 14 kHz less.
func TestTopBy(t *testing.T) {
	for s, want := range map[shape]float64{high(1000, 4): 4, high(1000, -2): -2, bell(100, 6, 1): 0} {
		if got := topBy(s); math.Abs(got-want) > 0.05 {
			t.Errorf("%+v: %.2f dB, want %g", s, got, want)
		}
	}
	if got := topBy(high(14000, 4)); got < 0.5 || got > 1.5 {
		t.Errorf("a shelf at 14 kHz: %.2f dB", got)
	}
}

// Of tracks that differ as masters do, as many are told to raise their top as the constant
// says, and as many to lower it, beside few references and many, even and uneven kinds; a top
// that is 4 dB off is found in as many as the normal distribution says, less what few
// references leave open (three standard errors of 1,000 trials).
func TestTopKeepsItsChance(t *testing.T) {
	const trials = 1000
	for _, c := range []struct {
		n           int
		sd          float64
		most, found float64
	}{{8, 2.1, 0.04, 0.47}, {15, 2.1, 0.04, 0.50}, {60, 2.1, 0.04, 0.54}, {15, 3.5, 0.07, 0.2}, {15, 1, 0.03, 0.85}} {
		r := rand.New(rand.NewPCG(uint64(c.n), 3))
		up, down, found := 0, 0, 0
		for range trials {
			refs, gain := shelved(r, c.n, c.sd), c.sd*r.NormFloat64()
			at := func(dB float64) (float64, bool) {
				off, out, _ := topOff(shelf(dB), refs)
				return off, out
			}
			if off, out := at(gain); out && off > 0 {
				down++
			} else if out {
				up++
			}
			if off, out := at(gain - 4); out && off < 0 {
				found++
			}
		}
		slack := 3*math.Sqrt(c.most/trials) + 0.005
		if u, d := float64(up)/trials, float64(down)/trials; u > c.most+slack || d > c.most+slack || (c.sd > 2 && u < 0.015) {
			t.Errorf("%d references that differ by %g dB: %.3f told to raise their top, %.3f to lower it", c.n, c.sd, u, d)
		}
		if f := float64(found) / trials; f < c.found-0.04 {
			t.Errorf("%d references that differ by %g dB: %.3f of 4 dB found, want %.2f", c.n, c.sd, f, c.found)
		}
		t.Logf("%d references, %g dB: %.3f, %.3f; found %.3f", c.n, c.sd, float64(up)/trials, float64(down)/trials, float64(found)/trials)
	}
}

// By hand: five references at -2, -1, 0, 1 and 2 dB about their middle, and a prior of 2.1 dB
// that weighs as six: s^2 = (6 4.41 + 10)/(6 + 5 - 1) = 3.646; another lies sqrt(3.646 (1 +
// 1/5)) = 2.092 dB off, and 4 % lie over 1.948 (t, ten degrees) of these: 4.07 dB.
func TestTopOffByHand(t *testing.T) {
	at := func(dB float64) detect.Spectrum { // exactly so much of the figure
		s := music()
		s.LoudestDB[topFirst+12] += detect.Value(dB / 0.70)
		return s
	}
	var refs []detect.Spectrum
	for _, dB := range []float64{-2, -1, 0, 1, 2} {
		refs = append(refs, at(dB))
	}
	for dB, want := range map[float64]bool{4.00: false, 4.15: true, -4.00: false, -4.15: true} {
		off, out, known := topOff(at(dB), refs)
		if !known || out != want || math.Abs(off-dB) > 1e-9 {
			t.Errorf("%g dB: %.3f, stands out %v, known %v", dB, off, out, known)
		}
	}
	if _, _, known := topOff(at(9), refs[:4]); known {
		t.Error("four references make a figure")
	}
}

// What the moves do in the top of a track that does not stand out there is said to be by ear,
// and not where it does or a verdict has named it; elsewhere nothing is.
func TestTopByEar(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	refs := shelved(r, 15, 2.1)
	levels := make([]detect.Value, len(refs))
	for i := range levels {
		levels[i] = -8
		for b := range refs[i].LoudestDB {
			refs[i].LoudestDB[b] += detect.Value(0.3 * r.NormFloat64())
		}
	}
	top := func(dB float64) detect.Spectrum { return bent(0, high(8000, dB), low(60, 6)) }
	for _, c := range []struct {
		name   string
		own    detect.Spectrum
		said   []Said
		by     []float64 // from, to: what the moves do at 14 kHz
		byEar  bool
		anyTop bool
	}{
		{"dull", top(-7), nil, []float64{4, 10}, false, true},
		{"bright", top(7), nil, []float64{-10, -4}, false, true},
		{"within reason", top(-3.2), nil, nil, true, true},
		{"within reason, but named", top(-3.2), []Said{{reason.HighShelf, 8000, -3.2}}, nil, false, true},
		{"as they are", top(0), nil, []float64{-0.5, 0.5}, false, false},
	} {
		a := Of(c.own, -8, refs, levels, c.said...)
		net, seen, doubted := 0.0, false, false
		for _, m := range a.Moves {
			net += m.At(14000)
			if m.Filter == reason.LowShelf && m.ByEar {
				t.Errorf("%s: a low shelf is by ear", c.name)
			}
			if math.Abs(topBy(m.shape)) >= topLeast {
				seen, doubted = true, doubted || m.ByEar
			}
		}
		if seen != c.anyTop || doubted != c.byEar || (c.by != nil && (net < c.by[0] || net > c.by[1])) {
			t.Errorf("%s: %.1f dB at 14 kHz, by ear %v: %+v", c.name, net, doubted, a.Moves)
		}
		if said := strings.Join(a.Sentences(false), " "); strings.Contains(said, "by ear") != c.byEar {
			t.Errorf("%s: %s", c.name, said)
		}
	}
}

// A track that stands out in its top is told so even where no band of it lies far out: what is
// said has the figure's size.
func TestTopIsSaid(t *testing.T) {
	c := &curve{}
	refs := shelved(rand.New(rand.NewPCG(6, 6)), 12, 0.5)
	own := bent(0, high(8000, -5))
	said := c.judgeTop(own, refs, nil)
	if len(said) != 1 || said[0].Filter != reason.HighShelf || said[0].Hz != 8000 || math.Abs(said[0].Off+5) > 0.6 || !c.top.out {
		t.Errorf("%+v", said)
	}
	named := []Said{{reason.Bell, 3500, 6}, {reason.HighShelf, 1200, -5}}
	if said := c.judgeTop(own, refs, named); len(said) != 2 || !c.top.named {
		t.Errorf("%+v beside what a verdict has named", said)
	}
	c = &curve{}
	if said := c.judgeTop(own, refs, []Said{{reason.LowShelf, 100, -6}}); len(said) != 2 || c.top.named {
		t.Errorf("%+v beside a verdict on the low end", said)
	}
	c = &curve{}
	if said := c.judgeTop(music(), refs, nil); len(said) != 0 || c.top.out {
		t.Errorf("an ordinary top: %+v", said)
	}
}
