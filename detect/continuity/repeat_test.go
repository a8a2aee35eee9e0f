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
