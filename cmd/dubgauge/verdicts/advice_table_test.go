package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect"
	"dubgauge/detect/advice"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
)

// adviceSong is a song of the table.
type adviceSong struct {
	genre string
	seed  uint64
	x     []excerpt
}

// TestAdviceTable prints what advice does beside other songs of a genre, where the taste
// of the mixer stands between what was planted and what is seen:
//
//	DUBGAUGE_TABLE     fit (even seeds) or show (odd ones)
//	DUBGAUGE_VERDICTS  folder that keeps what was measured
func TestAdviceTable(t *testing.T) {
	half := os.Getenv("DUBGAUGE_TABLE")
	if half == "" {
		t.Skip("DUBGAUGE_TABLE=fit or show prints the table of advice")
	}
	var all []adviceSong
	for seed := uint64(1); seed <= tableSeeds; seed++ {
		for _, g := range studio.Genres {
			x, err := turned(os.Getenv("DUBGAUGE_VERDICTS"), g.Name, seed, seed <= plantedSeeds)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, adviceSong{g.Name, seed, x})
		}
	}
	for _, size := range []int{8, 15} {
		var c adviceCount
		for i := range all {
			if (Spec{Seed: all[i].seed}).Half() == half {
				c.song(all, i, size)
			}
		}
		t.Logf("%s half, %d references:%s", half, size, c.text())
	}
	t.Logf("what an ideal observer must leave open in the gain of a filter that it knows, in dB, one standard deviation:%s", limits(all))
}

// TestAdviceAppliedTable does what TestAdviceApplied does with the songs of the table,
// each beside others of its genre, behind the verdict: of the third octaves outside of their range
// a third comes in. What a verdict does not name is left to taste where it is over 6 dB.
func TestAdviceAppliedTable(t *testing.T) {
	half := os.Getenv("DUBGAUGE_TABLE")
	if half == "" {
		t.Skip("DUBGAUGE_TABLE=fit or show dials advice into the songs of the table")
	}
	c := applyCount{advise: beside}
	for _, g := range studio.Genres {
		var all []adviceSong
		for seed := uint64(1); seed <= tableSeeds; seed++ {
			x, err := turned(os.Getenv("DUBGAUGE_VERDICTS"), g.Name, seed, seed <= plantedSeeds)
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, adviceSong{g.Name, seed, x})
		}
		for i, s := range all[:plantedSeeds] {
			if (Spec{Seed: s.seed}).Half() == half {
				a := loudest(studio.Compose(g, s.seed).Piece().Master())
				c.track(t, fmt.Sprintf("%s %d", g.Name, s.seed), a, others(all, i, 15))
			}
		}
	}
	t.Log(half, "half, 15 references:", &c)
	if outside := c.bands - c.after; 3*outside > 2*(c.bands-c.before) {
		t.Errorf("%d of %d third octaves inside behind the filters, %d before: they do not take a third of those outside in", c.after, c.bands, c.before)
	}
}

// others are size songs of a genre, clean, that follow song i.
func others(all []adviceSong, i, size int) (group []excerpt) {
	for k := 1; k < len(all) && len(group) < size; k++ {
		if o := all[(i+k)%len(all)]; o.genre == all[i].genre {
			group = append(group, o.x[0])
		}
	}
	return group
}

// adviceCount adds up a row.
type adviceCount struct {
	songs, moves, any, falseDull, falseHarsh        int
	planted, dull, harsh                            int
	allDull, allHarsh                               int // of all songs, see inThirds
	before, after, bands, bent, bentAfter, bentBand int
	square                                          map[string]float64
	n                                               map[string]int
}

// topOf is what the moves do above 8 kHz, dB, without those that are said to be by ear.
func topOf(a advice.Advice) float64 {
	a.Moves = slices.DeleteFunc(slices.Clone(a.Moves), func(m advice.Move) bool { return m.ByEar })
	return (net(a, 8000) + net(a, 11000) + net(a, 14000)) / 3
}

func net(a advice.Advice, hz float64) (dB float64) {
	for _, m := range a.Moves {
		dB += m.At(hz)
	}
	return dB
}

func count(to *int, yes bool) {
	if yes {
		*to++
	}
}

func (c *adviceCount) song(all []adviceSong, i, size int) {
	x, group := all[i].x, others(all, i, size)
	a := beside(x[0], group)
	c.songs++
	c.moves += len(a.Moves)
	count(&c.any, len(a.Moves) > 0)
	count(&c.falseDull, topOf(a) >= advice.Least)
	count(&c.falseHarsh, topOf(a) <= -advice.Least)
	c.before, c.after, c.bands = c.before+a.InsideBefore, c.after+a.InsideAfter, c.bands+a.Bands
	count(&c.allDull, topOf(beside(inThirds(x[0], knobs[dullPlant][0]), group)) >= advice.Least)
	count(&c.allHarsh, topOf(beside(inThirds(x[0], knobs[harshPlant][0]), group)) <= -advice.Least)
	if len(x) == 1 {
		return
	}
	c.planted++
	count(&c.dull, topOf(beside(x[dullPlant], group)) >= advice.Least)
	count(&c.harsh, topOf(beside(x[harshPlant], group)) <= -advice.Least)
	if c.n == nil {
		c.square, c.n = map[string]float64{}, map[string]int{}
	}
	for k := 1; k < askedEnd; k++ {
		b := beside(x[k], group)
		c.bent, c.bentAfter, c.bentBand = c.bent+b.InsideBefore, c.bentAfter+b.InsideAfter, c.bentBand+b.Bands
		if len(knobs[k]) > 1 {
			continue
		}
		p := knobs[k][0]
		hz := p.hz
		switch p.filter { // where it has all of its gain
		case reason.LowShelf:
			hz /= 2
		case reason.HighShelf:
			hz *= 1.5
		}
		name := fmt.Sprintf("%s %g Hz", p.filter, p.hz)
		c.square[name] += math.Pow(net(b, hz)+p.dB, 2)
		c.n[name]++
	}
}

// inThirds is what a knob does to an excerpt, worked out from its third octaves.
func inThirds(e excerpt, k knob) excerpt {
	gains, before, after := responses(k.design()), 0.0, 0.0
	out := e
	out.Spectrum.LoudestDB = slices.Clone(e.Spectrum.LoudestDB)
	for b, v := range e.Spectrum.LoudestDB {
		p := power(v) * loudness.Weight(spectrum.Exact(b))
		before, after = before+p, after+p*gains[b]
		out.Spectrum.LoudestDB[b] += detect.Value(10 * math.Log10(gains[b]))
	}
	out.Level += detect.Value(10 * math.Log10(after/before))
	return out
}

// TestInThirds: that is what the knob does to the audio, in the bands of the top within
// 0.3 dB, and to the level within 0.05 LU.
func TestInThirds(t *testing.T) {
	a := sound.New(30 * sound.Rate)
	r := rand.New(rand.NewPCG(1, 2))
	for i := range a.L {
		a.L[i] = 0.05 * r.NormFloat64()
		a.R[i] = a.L[i]
	}
	k := knobs[dullPlant][0]
	got := inThirds(excerptOf(a), k)
	a.Filter(k.design)
	want := excerptOf(a)
	if math.Abs(float64(got.Level-want.Level)) > 0.05 {
		t.Errorf("level %.2f, want %.2f", got.Level, want.Level)
	}
	for b := 15; b < 30; b++ {
		if d := float64(got.Spectrum.LoudestDB[b] - want.Spectrum.LoudestDB[b]); math.Abs(d) > 0.3 {
			t.Errorf("%g Hz: %.2f dB off", spectrum.Centres[b], d)
		}
	}
}

func (c *adviceCount) text() string {
	share := func(a, b int) float64 { return 100 * float64(a) / float64(max(1, b)) }
	s := fmt.Sprintf(" %d clean songs, %.2f moves a song, %.0f %% with any; third octaves inside %.1f %% before and %.1f %% behind the moves\n",
		c.songs, float64(c.moves)/float64(c.songs), share(c.any, c.songs), share(c.before, c.bands), share(c.after, c.bands))
	s += fmt.Sprintf("%d songs planted %d times: inside %.1f %% before and %.1f %% behind\n", c.planted, askedEnd-1, share(c.bent, c.bentBand), share(c.bentAfter, c.bentBand))
	s += fmt.Sprintf("high shelf 8 kHz -4: told to raise the top %.0f %%, clean %.0f %%; +4: told to lower it %.0f %%, clean %.0f %%\n",
		share(c.dull, c.planted), share(c.falseDull, c.songs), share(c.harsh, c.planted), share(c.falseHarsh, c.songs))
	s += fmt.Sprintf("the same in the third octaves of all %d songs: %.0f %% and %.0f %%\n", c.songs, share(c.allDull, c.songs), share(c.allHarsh, c.songs))
	for _, k := range knobs[1:askedEnd] {
		name := fmt.Sprintf("%s %g Hz", k[0].filter, k[0].hz)
		if n := c.n[name]; n > 0 && len(k) == 1 {
			s += fmt.Sprintf("%s: %.1f dB off what was planted (root mean square of %d)\n", name, math.Sqrt(c.square[name]/float64(n)), n)
			delete(c.n, name)
		}
	}
	return s
}

// limits are the standard deviations that generalised least squares has for the gain of
// each knob, by the covariance of clean songs about the means of their genres, with the
// level left open.
//
//	sd = 1 / sqrt(a' (V - V 1 1' V / 1' V 1) a),  V the inverse covariance
func limits(all []adviceSong) string {
	const from, to = 1, spectrum.Bands - 3 // 25 Hz to 12.5 kHz, which all songs have
	var clean []*Record
	for _, s := range all {
		r := &Record{Spec: Spec{Genre: s.genre, Seed: s.seed}}
		r.Measurement.Spectrum = s.x[0].Spectrum
		clean = append(clean, r)
	}
	cov := thirdsWithin(clean, from, to)
	var chol mat.Cholesky
	if !chol.Factorize(cov) {
		return "none: the covariance is singular"
	}
	one := mat.NewVecDense(to-from, nil)
	for i := range to - from {
		one.SetVec(i, 1)
	}
	inner := func(x, y *mat.VecDense) float64 {
		var v mat.VecDense
		if chol.SolveVecTo(&v, y) != nil {
			return math.NaN()
		}
		return mat.Dot(x, &v)
	}
	s, seen := "", map[string]bool{}
	for _, k := range knobs[1:harshPlant] {
		name := fmt.Sprintf("%s %g Hz", k[0].filter, k[0].hz)
		if seen[name] {
			continue
		}
		seen[name] = true
		a := mat.NewVecDense(to-from, nil)
		unit := advice.Said{Filter: k[0].filter, Hz: k[0].hz, Off: 4}
		for i := range to - from {
			a.SetVec(i, unit.At(spectrum.Exact(from+i))/4)
		}
		p := inner(a, a) - inner(a, one)*inner(a, one)/inner(one, one)
		sd := 1 / math.Sqrt(p)
		s += fmt.Sprintf("\n%s: %.1f, which finds %.0f %% of 4 dB at 5 %% of alarms, with 8 references %.0f %%", name, sd, oneSided(4/sd), oneSided(4/sd/math.Sqrt(1+1/8.0)))
	}
	return s
}

// oneSided is the share, in percent, that lies past where 5 % of clean ones do, d standard
// deviations off on that side.
func oneSided(d float64) float64 {
	return 100 * distuv.UnitNormal.CDF(d-distuv.UnitNormal.Quantile(0.95))
}

// thirdsWithin is the covariance of third octaves about the means of genres.
func thirdsWithin(songs []*Record, from, to int) *mat.SymDense {
	n := to - from
	cov := mat.NewSymDense(n, nil)
	by := map[string][][]float64{}
	for _, r := range songs {
		x := make([]float64, n)
		for i := range x {
			x[i] = float64(r.Measurement.Spectrum.LoudestDB[from+i])
		}
		by[r.Spec.Genre] = append(by[r.Spec.Genre], x)
	}
	free := 0.0
	for _, rows := range by {
		mean := make([]float64, n)
		for _, x := range rows {
			for i, v := range x {
				mean[i] += v / float64(len(rows))
			}
		}
		free += float64(len(rows) - 1)
		for _, x := range rows {
			for i := range n {
				for j := range i + 1 {
					cov.SetSym(i, j, cov.At(i, j)+(x[i]-mean[i])*(x[j]-mean[j]))
				}
			}
		}
	}
	cov.ScaleSym(1/free, cov)
	return cov
}
