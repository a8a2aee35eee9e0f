package standout

import (
	"math"

	"dubgauge/detect/balance"
	"dubgauge/detect/reason"
)

// tones is the number of figures that tell how a track is equalised: those of its balance
// (package balance), and its level.
const tones = firstThird + thirds

// tone is the balance of a track in dB: low end, low mids, mids, presence, treble,
// air, each against the loudness, and the sub over the bass; its level in LUFS, which
// a filter on a finished master changes too; and third octaves at 63, 80, 125 and 160 Hz, 6.3, 8,
// 10 and 12.5 kHz against the loudness. NaN where it has none.
type tone [tones]float64

const (
	// treble and air are made of what the third octaves of the top tell apart: see has.
	treble, air = 4, 5
	// subShare is the index of the one that is no level.
	subShare = 6
	// loud is the index of the level of the track.
	loud = 7
	// firstThird is that of the first third octave, of so many.
	firstThird = 8
	thirds     = len(balance.Thirds)
)

// relative tells whether a figure is a level against the loudness.
func relative(figure int) bool { return figure != subShare && figure != loud }

// move is a way in which a master goes wrong, as an equaliser would do it.
type move struct {
	thin, heavy string // reason codes of less and of more
	filter      reason.Filter
	hz          float64
	cut, boost  tone // dB of each figure's power for 1 dB of the move, see shown
	// heard are dB of the K-weighted power of the low end, up to 160 Hz, for 1 dB of cut and
	// of boost: less than without the weighting, which takes what lies lowest. In the
	// other figures the weighting is flat enough.
	heard   [2]float64
	audible float64
	usual   float64
	left    [2]left // of the peaks, by a cut and by a boost on a finished master
}

// AudibleTone is how far in dB the middle or the top must be off for a listener to
// notice it between two tracks; our judgement, as a broad change of 1 to 2 dB is just
// noticed in direct comparison (common practice, no source).
const AudibleTone = 2.0

// moves are looked for one by one: low shelves at 100 and at 60 Hz, high shelves at 8
// and at 1.2 kHz, bells at 3.5 kHz, at 350 and at 800 Hz, two octaves wide (Audio EQ Cookbook,
// W3C note of 2021, slope 1 and Q 0.7). Effects are what these filters do to the
// figures of music with the mean spectrum of the bench's masters;
// TestMovesAreWhatFiltersDo works them out again.
//
// What is left of the peaks was measured through audio on the bench's masters with even seeds and on
// 71 masters of another maker (.ci/verdicts -peaks prints it): medians between the
// two, and their standard deviations, a little wider, as every limiter does it in its own way; for
// both low shelves the same, as peaks do not tell a low end from a sub.
//
// usual is how common each is beside the others, see odds: chosen on the bench's masters so
// that none is found much less often than an observer finds it who knows all that a judge has
// to learn. Presence has one move for its name, and would lose it to a
// bright top, which has two.
var moves = []move{
	{reason.LowEndThin, reason.LowEndHeavy, reason.LowShelf, 100,
		tone{0.79, 0.02, 0, 0, 0, 0, 0.30, 0, 0.86, 0.71, 0.29, 0.14, 0, 0, 0, 0},
		tone{0.83, 0.02, 0, 0, 0, 0, 0.25, 0, 0.86, 0.71, 0.29, 0.14, 0, 0, 0, 0},
		[2]float64{0.65, 0.73}, AudibleLowEnd, 2.3, [2]left{{-6, 2.2, -0.1, 0.2}, {2.3, 1.8, 0, 0.2}}},
	{reason.TopDull, reason.TopBright, reason.HighShelf, 8000,
		tone{0, 0, 0, 0.05, 0.47, 0.88, 0, 0, 0, 0, 0, 0, 0.28, 0.49, 0.70, 0.86},
		tone{0, 0, 0, 0.05, 0.51, 0.89, 0, 0, 0, 0, 0, 0, 0.28, 0.49, 0.70, 0.86},
		[2]float64{0, 0}, AudibleTone, 1.1, [2]left{{-1.9, 1.2, -0.7, 0.3}, {-0.3, 1.8, 1, 0.6}}},
	{"", reason.Harsh, reason.Bell, 3500,
		tone{0, 0.02, 0.20, 0.88, 0.39, 0.14, 0, 0, 0, 0, 0, 0, 0.57, 0.38, 0.25, 0.16},
		tone{0, 0.02, 0.23, 0.89, 0.41, 0.14, 0, 0, 0, 0, 0, 0, 0.57, 0.38, 0.25, 0.16},
		[2]float64{0, 0}, AudibleTone, 3.5, [2]left{{-5, 3, -0.4, 0.3}, {0.4, 1.2, 0.1, 0.3}}},
	{reason.Hollow, reason.Muddy, reason.Bell, 350,
		tone{0.08, 0.82, 0.29, 0.03, 0, 0, -0.08, 0, 0.07, 0.11, 0.26, 0.40, 0.01, 0, 0, 0},
		tone{0.08, 0.84, 0.33, 0.03, 0, 0, -0.09, 0, 0.07, 0.11, 0.26, 0.40, 0.01, 0, 0, 0},
		[2]float64{0.12, 0.14}, AudibleTone, 1.5, [2]left{{-11.4, 2.6, -0.2, 0.3}, {1.7, 1.5, 0.1, 0.3}}},
	{reason.SubThin, reason.SubHeavy, reason.LowShelf, 60,
		tone{0.46, 0, 0, 0, 0, 0, 0.45, 0, 0.45, 0.25, 0.05, 0.02, 0, 0, 0, 0},
		tone{0.54, 0, 0, 0, 0, 0, 0.43, 0, 0.45, 0.25, 0.05, 0.02, 0, 0, 0, 0},
		[2]float64{0.34, 0.42}, AudibleLowEnd, 0.25, [2]left{{-6, 2.2, -0.1, 0.2}, {2.3, 1.8, 0, 0.2}}},
	{reason.TopDull, reason.TopBright, reason.HighShelf, 1200,
		tone{0, 0.01, 0.33, 0.98, 1, 1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1},
		tone{0, 0.01, 0.42, 0.98, 1, 1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1},
		[2]float64{0, 0}, AudibleTone, 1.7, [2]left{{-7, 2.5, -0.7, 0.4}, {1, 2, 1, 0.6}}},
	{reason.Hollow, "", reason.Bell, 800,
		tone{0, 0.33, 0.75, 0.13, 0.02, 0, 0, 0, 0, 0.02, 0.05, 0.08, 0.03, 0.02, 0.01, 0},
		tone{0, 0.37, 0.81, 0.13, 0.02, 0, 0, 0, 0, 0.02, 0.05, 0.08, 0.03, 0.02, 0.01, 0},
		[2]float64{0.02, 0.02}, AudibleTone, 1, [2]left{{-9.7, 2.5, -0.2, 0.3}, {1.5, 1.5, 0.1, 0.3}}},
}

// effect of a move to a side.
func (m *move) effect(sign float64) *tone {
	if sign < 0 {
		return &m.cut
	}
	return &m.boost
}

// loudness is the effect of a move to a side on the weighted power of a figure.
func (m *move) loudness(figure int, sign float64) float64 {
	switch {
	case figure > 0:
		return m.effect(sign)[figure]
	case sign < 0:
		return m.heard[0]
	}
	return m.heard[1]
}

// tone lists the balance of t.
func (t *Track) tone() tone {
	b := &t.Balance
	x := tone{float64(b.LowDB), float64(b.LowMidDB), float64(b.MidDB), float64(b.PresenceDB), float64(b.TrebleDB),
		float64(b.AirDB), float64(b.SubShareDB), float64(t.Level)}
	for i := range thirds {
		x[firstThird+i] = math.NaN()
		if len(b.ThirdsDB) == thirds {
			x[firstThird+i] = float64(b.ThirdsDB[i])
		}
	}
	return x
}

const (
	// balanced are the figures of a balance, without which there is nothing to judge.
	balanced = mask(1<<loud - 1)
	// fine are the third octaves, coarse what they replace.
	fine   = mask(1<<tones - 1<<firstThird)
	coarse = mask(1<<treble | 1<<air)
)

// mask has a bit for each figure of a tone.
type mask uint16

// has tells which figures of a exist.
func (a tone) has() (m mask) {
	for i, v := range a {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			m |= 1 << i
		}
	}
	return m
}

// judged are the figures by which something is judged that has those of m: treble and air are
// little but sums of the third octaves of the top, and serve where not all of these exist, as
// in records of before they were measured.
func (m mask) judged() mask {
	if m&fine == fine {
		return m &^ coarse
	}
	return m &^ fine
}

// index lists the figures in m.
func (m mask) index() (out []int) {
	for i := range tones {
		if m&(1<<i) != 0 {
			out = append(out, i)
		}
	}
	return out
}
