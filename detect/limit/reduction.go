package limit

import (
	"cmp"
	"math"
	"slices"
)

// Reduction is what a limiter took off, in dB, by the most in each millisecond.
type Reduction struct {
	MaxDB  float64 // the most at one moment; 0 where nothing was taken off
	MaxAtS float64 // where that was, seconds; NaN where nothing was taken off
	P95DB  float64 // so much or less for 95 % of the time
	Over2  float64 // share of the time with more than 2 dB, 0 to 1
	// PlacesS are the seconds with the most, the worst first, at most five, ten seconds
	// and more apart.
	PlacesS []float64
}

const (
	// OverDB is the reduction from which the share of the time is given: what is heard
	// of a limiter with quick recovery. Common practice, no source.
	OverDB = 2.0
	// percentile of the time that P95DB is about.
	percentile = 0.95
	// binDB is the step of the histogram.
	binDB = 0.01
	// bins reach to 60 dB, where nothing of a track is left.
	bins = 6000
	// placesMost and placesApart (s) are of PlacesS.
	placesMost, placesApart = 5, 10
)

// took gathers gains.
type took struct {
	rate   int
	cell   int // samples in a millisecond
	n      int // of the cell at hand
	least  float32
	at     int64   // samples so far
	counts []int32 // of cells by their reduction, in steps of binDB
	cells  int
	worst  float32
	where  int64
	second []float32 // least gain of each
}

func newTook(rate int) *took {
	return &took{rate: rate, cell: max(1, rate/1000), least: 1, worst: 1, counts: make([]int32, bins)}
}

func (t *took) write(gain []float32) {
	for _, g := range gain {
		if s := int(t.at / int64(t.rate)); s == len(t.second) {
			t.second = append(t.second, 1)
		}
		if g < t.least {
			t.least = g
			last := &t.second[len(t.second)-1]
			*last = min(*last, g)
			if g < t.worst {
				t.worst, t.where = g, t.at
			}
		}
		t.at++
		if t.n++; t.n == t.cell {
			t.endCell()
		}
	}
}

func (t *took) endCell() {
	t.counts[bin(float64(t.least))]++
	t.cells++
	t.n, t.least = 0, 1
}

func bin(gain float64) int { return min(bins-1, int(reduction(gain)/binDB)) }

// reduction in dB, 0 or more.
func reduction(gain float64) float64 {
	if gain >= 1 {
		return 0
	}
	return -20 * math.Log10(gain)
}

func (t *took) result() Reduction {
	r := Reduction{MaxDB: reduction(float64(t.worst)), MaxAtS: math.NaN()}
	if t.worst < 1 {
		r.MaxAtS = float64(t.where) / float64(t.rate)
	}
	if t.cells == 0 {
		return r
	}
	r.P95DB, r.Over2 = quantiles(t.counts, t.cells)
	r.PlacesS = t.places()
	return r
}

// quantiles reads P95DB and Over2 off a histogram of n reductions.
func quantiles(counts []int32, n int) (p95, over float64) {
	below, above, found := 0, 0, false
	for i, c := range counts {
		below += int(c)
		if !found && float64(below) >= percentile*float64(n) {
			found, p95 = true, float64(i)*binDB
		}
		if float64(i)*binDB >= OverDB {
			above += int(c)
		}
	}
	return p95, float64(above) / float64(n)
}

// places are the seconds with the most reduction, some way apart.
func (t *took) places() []float64 {
	var order []int
	for s, g := range t.second {
		if g < 1 {
			order = append(order, s)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(t.second[a], t.second[b]) })
	var places []float64
	for _, s := range order {
		near := func(p float64) bool { return math.Abs(p-float64(s)) < placesApart }
		if len(places) < placesMost && !slices.ContainsFunc(places, near) {
			places = append(places, float64(s))
		}
	}
	return places
}
