package transfer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// at makes ticks at places in cells.
func at(cells ...float64) (out []tick) {
	slices.Sort(cells)
	for _, c := range cells {
		out = append(out, tick{cell: int64(c), most: 0.1, ratio: 5})
	}
	return out
}

// Expected: 60 ticks at one place of a sixteenth are percussion, 24 spread over it are
// not; what crowds over half of it is what the music leaves to be seen.
func TestOffGrid(t *testing.T) {
	const period = 168.3 // cells: a sixteenth at 123 BPM
	rng := rand.New(rand.NewPCG(6, 8))
	var percussion, spread, seen []float64
	for i := range 60 {
		percussion = append(percussion, math.Round((float64(i)*7+0.31)*period))
	}
	for i := range 24 {
		spread = append(spread, (float64(i)*17+(float64(i)+0.5)/24)*period)
	}
	for i := range 72 {
		seen = append(seen, (float64(i)*5+0.25+0.5*rng.Float64())*period)
	}
	left, share := offGrid(at(append(slices.Clone(percussion), spread...)...), period)
	if len(left) < 22 || len(left) > 24 || share < 22.0/24 || share >= 1 {
		t.Errorf("percussion: %d left, share %.2f", len(left), share)
	}
	// The stretch is searched that makes the most of crowds, so that chance makes some.
	if left, _ := offGrid(at(seen...), period); len(left) < len(seen)*3/4 {
		t.Errorf("seen between hats: %d of %d left", len(left), len(seen))
	}
	if left, share := offGrid(at(percussion[:clickTotal-1]...), period); len(left) != clickTotal-1 || share != 1 {
		t.Errorf("too few to tell: %d left, share %.2f", len(left), share)
	}
	// By chance one of 400 dozens of clicks has five in one of 24 places.
	if left, share := offGrid(at(percussion[:clickTotal]...), period); len(left) > 0 || share != 23.0/24 {
		t.Errorf("six at one place: %d left, share %.2f", len(left), share)
	}
	if left, share := offGrid(at(spread[:12]...), period); len(left) != 12 || share != 1 {
		t.Errorf("twelve anywhere: %d left, share %.2f", len(left), share)
	}
}

// Ten clicks a minute of four minutes, from end to end or not; what is true of each by
// the constants' own words.
func TestRecordGoesFromEndToEnd(t *testing.T) {
	const rate, seconds = 1378.0, 240.0
	rng := rand.New(rand.NewPCG(5, 5))
	clicked := func(n int, from, to float64) (out []float64) {
		for range n {
			out = append(out, (from+rng.Float64()*(to-from))*rate)
		}
		return out
	}
	for _, c := range []struct {
		name  string
		cells []float64
		want  bool
	}{
		{"from end to end", clicked(48, 0, seconds), true},
		{"in the first quarter", clicked(48, 0, seconds/4), false},
		{"in the first half", clicked(48, 0, seconds/2), false},
		{"mostly in one part", append(clicked(60, 30, 44), clicked(20, 0, seconds)...), false},
		{"too few a minute", clicked(16, 0, seconds), false},
		{"none", nil, false},
	} {
		k := newClicks(rate)
		k.at, k.found = int64(seconds*rate), at(c.cells...)
		if got := k.record(Beat{}).perMinute; got > 0 != c.want {
			t.Errorf("%s: %.1f a minute", c.name, got)
		}
	}
}

// What just passes is the music's own, however much there is of it; of clicks a part stands
// far out. Many are those of which 16 a minute do.
func TestClearClicks(t *testing.T) {
	const rate, minutes = 1378.0, 4.0
	rng := rand.New(rand.NewPCG(5, 9))
	for _, c := range []struct {
		name             string
		perMinute, clear float64 // ticks, and those of them that stand out by 4 and more
		want             reason.Kind
	}{
		{"hits that just pass", 60, 0, ""}, {"some of them by chance more", 60, 9, ""}, {"clicks that the music covers", 45, 10, reason.ClicksFew}, {"as many in all, and more clear", 45, 18, reason.Clicks},
		{"clicks", 20, 9, reason.ClicksFew}, {"many", 40, 20, reason.Clicks}, {"few", 8, 4, reason.ClicksFew},
	} {
		m := New(44100, 2)
		k := &m.clicks
		k.rate, k.at = rate, int64(minutes*60*rate)
		for i := range int(c.perMinute * minutes) {
			ratio := clickRatio + rng.Float64()*(clickClear-clickRatio-0.01)
			if float64(i) < c.clear*minutes {
				ratio = clickClear + rng.ExpFloat64()
			}
			k.found = append(k.found, tick{cell: int64(rng.Float64() * float64(k.at)), most: 0.1, ratio: float32(ratio)})
		}
		slices.SortFunc(k.found, func(a, b tick) int { return int(a.cell - b.cell) })
		var got reason.Kind
		for _, f := range m.clicked(nil, Beat{}) {
			got = f.Kind
		}
		if got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// A tick that has another at a common distance on one side may be alone by chance; with one
// on both sides it repeats.
func TestLone(t *testing.T) {
	k := newClicks(1378)
	got := k.lone(at(1000, 3000, 5000, 40000, 42000, 61000), []int64{2000})
	var cells []int64
	for _, c := range got {
		cells = append(cells, c.cell)
	}
	if want := []int64{1000, 5000, 40000, 42000, 61000}; !slices.Equal(cells, want) {
		t.Errorf("alone: %v, want %v", cells, want)
	}
}

// A loop of 20 clicks of which music leaves one in 15 to be seen, at random, is told at any
// length; as many clicks at any times are none, nor are those of a record that a few at the
// same place of a turn are among.
func TestLoops(t *testing.T) {
	const rate, seconds = 1378.125, 180.0
	rng := rand.New(rand.NewPCG(8, 2))
	for _, loop := range []float64{1.2, 1.8, 3.87, 8} {
		var places [20]float64
		for i := range places {
			places[i] = loop * rng.Float64()
		}
		var looped, random []float64
		for turn := 0; float64(turn+1)*loop < seconds; turn++ {
			for _, p := range places {
				if rng.IntN(max(2, int(36/loop))) == 0 {
					looped = append(looped, math.Floor((p+float64(turn)*loop)*rate))
					random = append(random, math.Floor(seconds*rng.Float64()*rate))
				}
			}
		}
		k := newClicks(rate)
		k.at = 248062 // three minutes
		if !k.loops(at(looped...)) {
			t.Errorf("a loop of %g s, %d clicks of it: not told", loop, len(looped))
		}
		if k.loops(at(random...)) {
			t.Errorf("%d clicks at any times are a loop", len(random))
		}
		if k.loops(at(append(random, looped[:5]...)...)) {
			t.Errorf("%d clicks at any times and five of a loop are one", len(random))
		}
	}
}

// What lies at one place of the sixteenths is percussion where the beat is known, and the
// share of the sixteenth that it takes is not counted on.
func TestClicksBesidePercussion(t *testing.T) {
	const rate, minutes = 1378.0, 4.0
	period := 60 / 123. / 4 * rate
	rng := rand.New(rand.NewPCG(4, 12))
	var cells []float64
	for range 60 {
		cells = append(cells, math.Round((float64(rng.IntN(1900))+0.31)*period), rng.Float64()*minutes*60*rate)
	}
	k := newClicks(rate)
	k.at, k.found = minutes*60*rate, at(cells...)
	sure, doubtful := k.record(Beat{123, 0.9}), k.record(Beat{123, clickSure - 0.01})
	if n := len(sure.ticks); n < 45 || n > 65 || len(doubtful.ticks) > 0 {
		t.Errorf("%d clicks beside 60 of percussion, %d with a doubtful beat, where all is a loop; want some 60 and none", n, len(doubtful.ticks))
	}
	if want := float64(len(sure.ticks)) / minutes; sure.perMinute <= want || sure.clear != sure.perMinute {
		t.Errorf("%.1f a minute, %.1f of them clear; want more than %.1f, all of them clear", sure.perMinute, sure.clear, want)
	}
}

// The distance that recurs comes first among the common ones.
func TestLags(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 13))
	var cells []float64
	for i := range 40 {
		cells = append(cells, float64(i)*2760, 110000*rng.Float64())
	}
	k := newClicks(1378)
	if got := k.lags(at(cells...)); len(got) == 0 || math.Abs(float64(got[0]%2760-1380)) < 1376 {
		t.Errorf("common distances %v, want multiples of 2760 first", got)
	}
}

// Six clicks in a minute are the least, and what is denser than 400 a minute is an
// instrument; so is what fills the list.
func TestLeastAndMostClicks(t *testing.T) {
	const rate = 1378.0
	places := []float64{3, 11, 17.3, 31.9, 38, 52.7}
	spread := func(n int) (out []float64) {
		rng := rand.New(rand.NewPCG(5, 11))
		for range n {
			out = append(out, 60*rng.Float64())
		}
		return out
	}
	for _, c := range []struct {
		name  string
		times []float64
		more  bool
		want  bool
	}{{"six", places, false, true}, {"five", places[:5], false, false}, {"380", spread(380), false, true}, {"420", spread(420), false, false}, {"a list that is full", places, true, false}} {
		k := newClicks(rate)
		k.at, k.more = int64(60*rate), c.more
		cells := make([]float64, len(c.times))
		for i, s := range c.times {
			cells[i] = s * rate
		}
		k.found = at(cells...)
		if got := k.record(Beat{}).perMinute; got > 0 != c.want {
			t.Errorf("%s: %.1f a minute", c.name, got)
		}
	}
}
