package tempo

import "testing"

// barsOfNothing are bars in which nothing is played.
func barsOfNothing() *bars {
	f := barOf(0, 0, nil, nil, nil, nil)
	return &f
}

// A low drum on each beat and a bright one on each place between take turns; what has a part of that
// does not. Patterns: common practice, no source.
func TestTurns(t *testing.T) {
	const half = foldBins / 2
	four, off, eighths := []int{0, 4, 8, 12}, []int{2, 6, 10, 14}, []int{0, 2, 4, 6, 8, 10, 12, 14}
	for _, c := range []struct {
		name                     string
		kick, snare, hats, basss []int
		want                     float64
	}{
		{"train beat", four, off, nil, nil, 2.5},
		{"with hats on all eighths", four, off, eighths, nil, 2.5},
		{"with a bass on both", four, off, nil, eighths, 2.5},
		{"one stroke between is missing", four, off[1:], nil, nil, 0},
		{"one low stroke is missing", four[1:], off, nil, nil, 0},
		{"four on the floor, open hats", four, nil, off, nil, 0},
		{"house", four, []int{4, 12}, off, off, 0},
		{"a break", []int{0, 6, 10}, []int{4, 12}, eighths, []int{0, 6, 10}, 0},
		{"a snare on each beat over an off-beat bass", []int{0, 8}, four, eighths, off, 0},
		{"nothing", nil, nil, nil, nil, 0},
	} {
		for turn := 0; turn < barBins; turn += 31 {
			f := barOf(turn, 0, c.kick, c.snare, c.hats, c.basss)
			if on, between := f.turns(turn, turn+half), f.turns(turn+half, turn); on != c.want || between != -c.want {
				t.Errorf("%s, turned by %d: %.1f on the beat, %.1f between, want %.1f", c.name, turn, on, between, c.want)
			}
		}
	}
}

// The softest low stroke on the beats is held against the loudest between, and the mean against the
// mean; what kicks there may kick 0.6 as much as what does between.
func TestLowOfTurns(t *testing.T) {
	for _, c := range []struct {
		softest, others, between, kicks float64
		want                            bool
	}{
		{0.76, 1.6, 1, 1, true}, {0.72, 1.6, 1, 1, false}, {1, 1.42, 1, 1, true}, {1, 1.38, 1, 1, false},
		{1, 1.6, 1, 0.62, true}, {1, 1.6, 1, 0.58, false},
	} {
		f := barOf(0, 0, nil, []int{2, 6, 10, 14}, nil, nil)
		for k := range bar {
			level := c.others
			if k == 0 {
				level = c.softest
			}
			f[low][k*foldBins], f[low][k*foldBins+foldBins/2] = level, c.between
			f[kicks][k*foldBins], f[kicks][k*foldBins+foldBins/2] = c.kicks, 1
		}
		if got := f.takeTurns(0, foldBins/2); got != c.want {
			t.Errorf("%+v: %v", c, got)
		}
	}
}

// Where drums take turns a place may lead by drums and is asked all the same; one that leads by so
// much more is not.
func TestSettleTurns(t *testing.T) {
	const half = foldBins / 2
	b := chordsOn(0.25)
	by := -b.onThanBetween(0, half)
	f := barOf(half, 0, []int{0, 4, 8, 12}, []int{2, 6, 10, 14}, nil, nil)
	for _, c := range []struct {
		lead float64
		want int
	}{
		{takingTurns + by - 0.05, half}, {takingTurns + by + 0.05, 0},
	} {
		if got, _ := b.settle(&f, []int{0, half}, []float64{1 + c.lead, 1}); got != c.want {
			t.Errorf("lead %.2f: %d, want %d", c.lead, got, c.want)
		}
	}
	b = barsOn(half)
	b.levels = chordsOn(0.25).levels
	for lead, want := range map[float64]int{takingTurns + drumsSure: 0, takingTurns + drumsSure - 0.01: half} {
		if got, _ := b.settle(&f, []int{0, half}, []float64{1 + lead, 1}); got != want {
			t.Errorf("lead %.2f, sure: %d, want %d", lead, got, want)
		}
	}
}
