package setlist

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/optimize/convex/lp"

	"dubgauge/detect"
)

// byProgramme is the least change of a chain by gonum's simplex method: another way to the
// same figure. In standard form, x being g - low:
//
//	x + u = high - low            x - p + q = single - low
//	x' - x - a = least + low - low'    x' - x + b = most + low - low'
//
// all of them at least 0; the sum of p and q is minimised.
func byProgramme(c *chain) (change float64, err error) {
	n := len(c.single)
	cols, rows := 4*n+2*(n-1), 2*n+2*(n-1)
	a, b, cost := mat.NewDense(rows, cols, nil), make([]float64, rows), make([]float64, cols)
	x, u, p, q, over, under := 0, n, 2*n, 3*n, 4*n, 5*n-1
	for i := range n {
		a.Set(i, x+i, 1)
		a.Set(i, u+i, 1)
		b[i] = float64(c.high[i] - c.low[i])
		a.Set(n+i, x+i, 1)
		a.Set(n+i, p+i, -1)
		a.Set(n+i, q+i, 1)
		b[n+i] = float64(c.single[i] - c.low[i])
		cost[p+i], cost[q+i] = 1, 1
	}
	for i := range n - 1 {
		for k, slack := range []int{over + i, under + i} {
			row := 2*n + k*(n-1) + i
			a.Set(row, x+i+1, 1)
			a.Set(row, x+i, -1)
			a.Set(row, slack, []float64{-1, 1}[k])
			b[row] = float64([]int{c.least[i], c.most[i]}[k] + c.low[i] - c.low[i+1])
		}
	}
	change, _, err = lp.Simplex(cost, a, b, 1e-9, nil)
	return change, err
}

// levels are tracks of random levels and peaks, some with a single trim.
func levels(r *rand.Rand, n int, spread float64) []Track {
	tracks := make([]Track, n)
	for i := range tracks {
		tracks[i] = madeUp(-8+spread*r.NormFloat64(), 125, "A minor")
		tracks[i].TruePeakDBTP = detect.Value(-0.5 - 6*r.Float64())
		if r.IntN(3) > 0 {
			tracks[i].TrimDB = -8 - tracks[i].Loudest.LUFS
		}
		tracks[i].TrimDB = detect.Value(math.Round(10*float64(tracks[i].TrimDB))) / 10
	}
	return tracks
}

// steps checks that trims keep to their bounds and every step to a limit, and gives the change.
func steps(t *testing.T, tracks []Track, l *Levelling, o Options) (change float64) {
	t.Helper()
	for i := range tracks {
		g := float64(l.Trims[i])
		high := 12.0
		if o.Baked {
			high = max(0, min(high, o.CeilingDBTP-float64(tracks[i].TruePeakDBTP)))
		}
		if math.Abs(10*g-math.Round(10*g)) > 1e-6 || g < -12 || g > high+1e-9 {
			t.Fatalf("track %d: trim %v, at most %v", i, g, high)
		}
		change += math.Abs(g - float64(tracks[i].TrimDB))
		if i > 0 {
			step := stepBy(&tracks[i-1], &tracks[i], o.By) + g - float64(l.Trims[i-1])
			if math.Abs(step) > float64(l.LimitLU)+1e-5 {
				t.Fatalf("step %d is %v LU, limit %v", i-1, step, l.LimitLU)
			}
		}
	}
	return change
}

// TestLevelIsTheOptimum: random sets are levelled whenever the linear programme has a
// solution, at the same price; of loudest parts and of ends, at the mixer and baked.
func TestLevelIsTheOptimum(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	can, cannot := 0, 0
	for i := range 300 {
		tracks := levels(r, 2+r.IntN(9), []float64{2, 9}[i%2])
		o := Options{By: []By{ByLoudest, ByEnds}[i/2%2], Baked: i%3 == 0, CeilingDBTP: -0.3, Limits: Limits{LevelLU: 0.3 + r.Float64()}}.filled()
		l := level(tracks, o)
		change := steps(t, tracks, &l, o)
		c := chainOf(tracks, o, o.Limits.LevelLU)
		want, err := byProgramme(c)
		switch {
		case err == nil:
			can++
			// What bounds take off a single trim is a change as well.
			bounds := 0.0
			for k := range tracks {
				bounds += math.Abs(float64(c.single[k])/10 - float64(tracks[k].TrimDB))
			}
			if !l.Kept || l.Conflict != nil || l.LimitLU != l.AskedLU {
				t.Errorf("set %d can be levelled: %+v", i, l)
			}
			if math.Abs(change-bounds-want/10) > 1e-6 || math.Abs(float64(l.TotalDB)-change) > 1e-6 {
				t.Errorf("set %d: changed by %v and said %v, the programme by %v", i, change-bounds, l.TotalDB, want/10)
			}
		case errors.Is(err, lp.ErrInfeasible):
			cannot++
			less, _ := byProgramme(chainOf(tracks, o, float64(l.LimitLU)-0.1))
			if l.Kept || l.Conflict == nil || !math.IsNaN(less) {
				t.Errorf("set %d cannot be levelled: %+v, with less %v", i, l, less)
			}
		default:
			t.Fatal(err)
		}
	}
	if can < 100 || cannot < 30 {
		t.Errorf("%d sets can be levelled, %d cannot: too few of a kind", can, cannot)
	}
}

// TestLevelChangesNothingNeedlessly: no changed trim can be brought nearer to its single trim
// by itself.
func TestLevelChangesNothingNeedlessly(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 2))
	o := Options{}.filled()
	changed := 0
	for range 200 {
		tracks := levels(r, 2+r.IntN(20), 2)
		l := level(tracks, o)
		count := 0
		for i := range tracks {
			d := float64(l.Trims[i] - tracks[i].TrimDB)
			if math.Abs(d) < 1e-9 {
				continue
			}
			count++
			back := float64(l.Trims[i]) - math.Copysign(0.1, d)
			ok := true
			for _, k := range []int{i - 1, i + 1} {
				if k >= 0 && k < len(tracks) {
					off := float64(tracks[i].Loudest.LUFS-tracks[k].Loudest.LUFS) + back - float64(l.Trims[k])
					ok = ok && math.Abs(off) <= 1
				}
			}
			if ok {
				t.Errorf("trim %d is changed from %v to %v, and %v would do", i, tracks[i].TrimDB, l.Trims[i], back)
			}
		}
		if count != l.Changed {
			t.Errorf("%d changed, said %d", count, l.Changed)
		}
		changed += count
	}
	if changed < 100 {
		t.Errorf("%d trims changed: the test sees too little", changed)
	}
}

// TestLevelPicture: an example that is worked out by hand. The second track is 5 LU down
// without a single trim; steps of 1 LU leave it 1 LU under the others, which stay: 4 dB.
func TestLevelPicture(t *testing.T) {
	tracks := []Track{madeUp(-8, 125, "A minor"), madeUp(-13, 125, "A minor"), madeUp(-8, 125, "A minor")}
	o := Options{}.filled()
	l := level(tracks, o)
	if l.Trims[0] != 0 || l.Trims[1] != 4 || l.Trims[2] != 0 || l.Changed != 1 || l.TotalDB != 4 || !l.Kept {
		t.Errorf("%+v", l)
	}
	if want := "Every step stays within 1.0 LU with 1 of 3 single trims changed, by 4.0 dB in all."; l.Note != want {
		t.Errorf("%q, want %q", l.Note, want)
	}
	// Baked under -0.3 dBTP its peak of -1 leaves 0.7 dB: the others come down to -11.3.
	o.Baked, o.CeilingDBTP = true, -0.3
	if l = level(tracks, o); l.Trims[1] != 0.7 || l.Trims[0] != -3.3 || l.Trims[2] != -3.3 || l.Changed != 3 {
		t.Errorf("baked: %+v", l)
	}
	// A track without a level parts the set, and has no trim.
	tracks[1].Loudest.LUFS = detect.None
	if l = level(tracks, o); l.Trims[0] != 0 || l.Trims[1].Exists() || l.Trims[2] != 0 || !l.Kept {
		t.Errorf("parted: %+v", l)
	}
	tracks[1].Loudest.LUFS, tracks[1].TruePeakDBTP = -13, detect.None // nothing is baked in
	if l = level(tracks, o); l.Trims[1] != 0 || l.Trims[0] != -4 {
		t.Errorf("without a peak: %+v", l)
	}
}

// TestLevelConflict: the first goes up by 12 dB at most and the last down by 12: over three
// steps of 1 LU each 30 LU apart are 3 too many; the least limit is 2.
func TestLevelConflict(t *testing.T) {
	tracks := []Track{madeUp(-8, 125, ""), madeUp(-38, 125, ""), madeUp(-20, 125, ""), madeUp(-20, 125, ""), madeUp(-8, 125, "")}
	o := Options{}.filled()
	l := level(tracks, o)
	c := l.Conflict
	if l.Kept || l.LimitLU != 6 || c == nil || c.From != 0 || c.To != 1 || c.Quiet != 1 || math.Abs(float64(c.ShortLU)-5) > 1e-9 || c.LowDB != -12 || c.HighDB != 12 {
		t.Errorf("%+v, %+v", l, c)
	}
	steps(t, tracks, &l, o)
	loud := []Track{tracks[1], tracks[2], tracks[3], tracks[0]}
	l = level(loud, o)
	if c = l.Conflict; l.Kept || l.LimitLU != 2 || c == nil || c.From != 0 || c.To != 3 || c.Quiet != 0 || math.Abs(float64(c.ShortLU)-3) > 1e-9 {
		t.Errorf("%+v, %+v", l, c)
	}
	steps(t, loud, &l, o)
	if !strings.Contains(l.Note, "track 4 goes down by 12.0 dB at most and track 1 up by 12.0 dB at most, which leaves 3.0 LU too much for 3 steps") {
		t.Error(l.Note)
	}
	// What comes before and has room is not what stands in the way.
	for _, c := range []struct {
		tracks          []Track
		from, to, quiet int
	}{
		{[]Track{tracks[1], tracks[1], tracks[2], tracks[3], tracks[0]}, 1, 4, 1},
		{[]Track{tracks[0], tracks[0], tracks[1]}, 1, 2, 2},
	} {
		got := level(c.tracks, o).Conflict
		if got == nil || got.From != c.from || got.To != c.to || got.Quiet != c.quiet {
			t.Errorf("%+v, want %d to %d, quiet %d", got, c.from, c.to, c.quiet)
		}
	}
	loud[0].Place, loud[3].Place = 7, 11
	if l = level(loud, o); !strings.Contains(l.Note, "track 11 goes down by 12.0 dB at most and track 7 up") {
		t.Error(l.Note)
	}
	// What no measurement gives, from an imported record, ends with an answer.
	loud[1].Loudest.LUFS = 1e9
	loud[2].TrimDB = -1e9
	if l = level(loud, o); l.Kept || !l.LimitLU.Exists() {
		t.Errorf("%+v", l)
	}
}

func BenchmarkLevel1000(b *testing.B) {
	tracks := levels(rand.New(rand.NewPCG(3, 2)), 1000, 3)
	o := Options{}.filled()
	for b.Loop() {
		level(tracks, o)
	}
}

// How long gonum's simplex method takes for a tenth of them: seconds.
func BenchmarkProgramme100(b *testing.B) {
	tracks := levels(rand.New(rand.NewPCG(3, 2)), 100, 3)
	c := chainOf(tracks, Options{}.filled(), 1)
	for b.Loop() {
		if _, err := byProgramme(c); err != nil {
			b.Fatal(err)
		}
	}
}
