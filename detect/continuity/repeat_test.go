package continuity

import (
	"math"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// again lets the piece of a length before a time come once more, in its place or put in.
func again(x [][]float32, at, length float64) [][]float32 {
	for c := range x {
		copy(x[c][sec(at):sec(at+length)], x[c][sec(at-length):sec(at)])
	}
	return x
}

// What comes twice bit by bit is a skip, unless music makes it so. Beats of song lie on
// whole and half seconds.
func TestTwice(t *testing.T) {
	for _, tt := range []struct {
		name string
		x    [][]float32
		grid Grid
		want int
	}{
		{"137 ms", again(song(1), 9.31, 0.137), testGrid, 1},
		{"137 ms, no beat", again(song(1), 9.31, 0.137), Grid{}, 0},
		{"137 ms, a beat that is not sure", again(song(1), 9.31, 0.137), Grid{BPM: 120, Confidence: gridConfidence / 2}, 0},
		{"a beat from off the beat", again(song(1), 9.78, 0.5), testGrid, 0},
		{"a beat and 3 ms from off the beat", again(song(1), 9.78, 0.503), testGrid, 1},
		{"three beats from off the beat", again(song(1), 9.78, 1.5), testGrid, 0},
		{"an eighth from off the eighth", again(song(1), 9.78, 0.25), testGrid, 1},
		{"an eighth on it", again(song(1), 9.75, 0.25), testGrid, 0},
		{"a tone of whole samples", sawed(song(1), sec(9.31), 600, 4), testGrid, 0},
		{"a loop that is closed", closed(song(1), sec(9.31), sec(0.137)), testGrid, 0},
	} {
		var got []Finding
		for _, f := range run(tt.x, testRate, tt.grid) {
			if f.Kind == reason.Repeat {
				got = append(got, f)
			}
		}
		if len(got) != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// sawed writes so many equal saw teeth over the song, each of a length in samples.
func sawed(x [][]float32, at, length, teeth int) [][]float32 {
	for c := range x {
		for i := range length * teeth {
			x[c][at+i] = 0.6 - 0.9*float32(i%length)/float32(length)
		}
	}
	return x
}

// closed lets n samples come again near a place where their end meets their start: as
// smooth there as in their middle.
func closed(x [][]float32, near, n int) [][]float32 {
	for at := near; ; at++ {
		if math.Abs(float64(x[0][at-1]-x[0][at-n])) < 1e-4 && x[0][at-1] != x[0][at-n-1] {
			for c := range x {
				copy(x[c][at:at+n], slices.Clone(x[c][at-n:at]))
			}
			return x
		}
	}
}

// Values that share a slot are told apart: the one before the last is found as well.
func TestAnchorsThatShareASlot(t *testing.T) {
	r := newRepeats(testRate, 64)
	slot := func(v float32) uint32 {
		bits := math.Float32bits(v)
		return (bits ^ bits>>anchorSlotBits) % anchorSlots
	}
	const one = float32(0.5)
	other := one
	for other = math.Nextafter32(other, 1); slot(other) != slot(one); other = math.Nextafter32(other, 1) {
	}
	const first, between, again = 2000, 5000, 9000
	r.ring[first], r.ring[between], r.ring[again] = one, other, one
	r.anchor(one, first)
	r.anchor(other, between)
	r.anchor(one, again)
	if len(r.pending) != 1 || r.pending[0].distance != again-first {
		t.Errorf("%+v, want a match %d samples away", r.pending, again-first)
	}
}

// Of two cells that are as high, less than anchorReach apart, none is an anchor; one that
// stands alone is.
func TestPeak(t *testing.T) {
	for name, tt := range map[string]struct {
		cells []float32
		want  int
	}{
		"alone":         {[]float32{0.1, 0.1, 0.1, 0.1, 0.5, 0.1, 0.1, 0.1, 0.1, 0.1}, 1},
		"two as high":   {[]float32{0.1, 0.1, 0.1, 0.1, 0.5, 0.1, 0.5, 0.1, 0.1, 0.1, 0.1, 0.1}, 0},
		"a higher one":  {[]float32{0.1, 0.1, 0.1, 0.1, 0.5, 0.1, 0.6, 0.1, 0.1, 0.1, 0.1, 0.1}, 1},
		"not yet known": {[]float32{0.1, 0.1, 0.1, 0.1, 0.5, 0.1, 0.1, 0.1}, 0},
	} {
		r := newRepeats(testRate, 64)
		for i, v := range tt.cells {
			r.ring[64*i+7] = v
			r.now += 64
		}
		for _, v := range tt.cells {
			r.peak(v)
		}
		if r.count != tt.want {
			t.Errorf("%s: %d anchors, want %d", name, r.count, tt.want)
		}
	}
}

// A piece begins without a jump where its first sample lies nearer to the one before it than
// stillJump of the mean difference of neighbours within it: 0.2 here.
func TestStill(t *testing.T) {
	for _, tt := range []struct {
		jump float32
		want bool
	}{{0.2*stillJump - 0.001, true}, {0.2*stillJump + 0.001, false}} {
		r := newRepeats(testRate, 64)
		r.now = 3000
		for i := range 1000 {
			r.ring[1000+i] = 0.1 * float32(1-2*(i%2)) // of samples two apart none differ
		}
		r.ring[999] = 0.1 - tt.jump
		if got := r.still(match{from: 1000, to: 2000}); got != tt.want {
			t.Errorf("a jump of %g: %v", tt.jump, got)
		}
	}
	r := newRepeats(testRate, 64)
	if !r.still(match{from: 0, to: 100}) {
		t.Error("at the very start there is nothing to jump from")
	}
}
