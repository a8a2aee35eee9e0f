package loudness

import (
	"fmt"
	"math"
	"testing"
)

// Tolerances of the published tests.
const (
	tech3341LU = 0.1 // EBU Tech 3341 v4, table 1
	tech3342LU = 1.0 // EBU Tech 3342 v4, table 1
	bs2217LU   = 0.1 // Report ITU-R BS.2217-2
)

// rates at which every published case is run; the signals are synthesised, so
// any rate will do.
var rates = []int{44100, 48000, 96000}

// near fails unless got is within tolerance of want; NaN never is.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.3f, want %.3f within %.3f", what, got, want, tolerance)
	}
}

// eachRate runs f at every rate.
func eachRate(t *testing.T, f func(t *testing.T, rate int)) {
	for _, rate := range rates {
		t.Run(fmt.Sprint(rate), func(t *testing.T) {
			t.Parallel()
			f(t, rate)
		})
	}
}

// EBU Tech 3341 v4 (November 2023) section 2.9, table 1. Cases 7 and 8 are
// recordings and 15 to 23 are for true peak.
func TestTech3341Integrated(t *testing.T) {
	cases := []struct {
		name  string
		parts []part
		want  float64
		all   bool // momentary and short-term are given too
	}{
		{"1", []part{{-23, 20}}, -23, true},
		{"2", []part{{-33, 20}}, -33, true},
		{"3", []part{{-36, 10}, {-23, 60}, {-36, 10}}, -23, false},
		{"4", []part{{-72, 10}, {-36, 10}, {-23, 60}, {-36, 10}, {-72, 10}}, -23, false},
		{"5", []part{{-26, 20}, {-20, 20.1}, {-26, 20}}, -23, false},
	}
	eachRate(t, func(t *testing.T, rate int) {
		for _, c := range cases {
			r := stereo(rate, tone(rate, c.parts...))
			near(t, c.name+" integrated", r.Integrated, c.want, tech3341LU)
			if c.all {
				near(t, c.name+" momentary", r.MomentaryMax, c.want, tech3341LU)
				near(t, c.name+" short-term", r.ShortTermMax, c.want, tech3341LU)
			}
		}
	})
}

// Case 6: 5.0 with L, R, C, Ls, Rs; and the same as 5.1 with a loud tone in
// the low-frequency channel, which must not count.
func TestTech3341Case6(t *testing.T) {
	eachRate(t, func(t *testing.T, rate int) {
		at := func(dBFS float64) []float32 { return tone(rate, part{dBFS, 20}) }
		l, c, s := at(-28), at(-24), at(-30)
		near(t, "5.0", measure(rate, Weights(5, 0), l, l, c, s, s).Integrated, -23, tech3341LU)
		near(t, "5.1", measure(rate, Weights(6, 0), l, l, c, at(-10), s, s).Integrated, -23, tech3341LU)
	})
}

// Cases 9 and 12: level changes that a window of the right length does not
// show.
func TestTech3341Constant(t *testing.T) {
	eachRate(t, func(t *testing.T, rate int) {
		poll(rate, tone(rate, repeat(5, part{-20, 1.34}, part{-30, 1.66})...), func(s, _, short float64) {
			if s >= 3 {
				near(t, fmt.Sprintf("9 short-term at %.2f s", s), short, -23, tech3341LU)
			}
		})
		poll(rate, tone(rate, repeat(25, part{-20, 0.18}, part{-30, 0.22})...), func(s, momentary, _ float64) {
			if s >= 1 {
				near(t, fmt.Sprintf("12 momentary at %.2f s", s), momentary, -23, tech3341LU)
			}
		})
	})
}

// Cases 10 and 13: files in which a tone just fills the window, at 20 offsets.
func TestTech3341FileMaxima(t *testing.T) {
	eachRate(t, func(t *testing.T, rate int) {
		for i := range 20 {
			r := stereo(rate, tone(rate, part{silent, 0.15 * float64(i)}, part{-23, 3}, part{silent, 1}))
			near(t, fmt.Sprint("10 short-term, file ", i), r.ShortTermMax, -23, tech3341LU)
			r = stereo(rate, tone(rate, part{silent, 0.02 * float64(i)}, part{-23, 0.4}, part{silent, 1}))
			near(t, fmt.Sprint("13 momentary, file ", i), r.MomentaryMax, -23, tech3341LU)
		}
	})
}

// Cases 11 and 14: the same in one file, each tone 1 dB louder.
func TestTech3341LiveMaxima(t *testing.T) {
	series := func(rate int, offset, length float64) []float32 {
		var parts []part
		for i := range 20 {
			before := offset * float64(i)
			parts = append(parts, part{silent, before}, part{-38 + float64(i), length}, part{silent, length - before})
		}
		return tone(rate, parts...)
	}
	eachRate(t, func(t *testing.T, rate int) {
		var short, momentary [20]float64
		for i := range short {
			short[i], momentary[i] = silent, silent
		}
		poll(rate, series(rate, 0.15, 3), func(at, _, s float64) {
			i := min(19, int((at-0.001)/6))
			short[i] = max(short[i], s)
		})
		poll(rate, series(rate, 0.02, 0.4), func(at, m, _ float64) {
			i := min(19, int((at-0.001)/0.8))
			momentary[i] = max(momentary[i], m)
		})
		for i := range 20 {
			want := -38 + float64(i)
			near(t, fmt.Sprint("11 short-term, tone ", i), short[i], want, tech3341LU)
			near(t, fmt.Sprint("14 momentary, tone ", i), momentary[i], want, tech3341LU)
		}
	})
}

// EBU Tech 3342 v4 (November 2023) section 4, table 1; cases 5 and 6 are
// recordings. Section 3.1: repeating a signal must not change its range.
func TestTech3342(t *testing.T) {
	cases := []struct {
		name  string
		parts []part
		want  float64
	}{
		{"1", []part{{-20, 20}, {-30, 20}}, 10},
		{"2", []part{{-20, 20}, {-15, 20}}, 5},
		{"3", []part{{-40, 20}, {-20, 20}}, 20},
		{"4", []part{{-50, 20}, {-35, 20}, {-20, 20}, {-35, 20}, {-50, 20}}, 15},
	}
	eachRate(t, func(t *testing.T, rate int) {
		for _, c := range cases {
			near(t, c.name, stereo(rate, tone(rate, c.parts...)).Range, c.want, tech3342LU)
		}
		near(t, "1 twice", stereo(rate, tone(rate, repeat(2, cases[0].parts...)...)).Range, 10, tech3342LU)
	})
}
