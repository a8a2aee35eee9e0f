package reason

import (
	"fmt"
	"math"
)

// MaxAdvice in dB is the largest change that is ever advised. What is further off is
// another recording, another stage of the work or a broken file, and no gain or EQ
// makes it right. Common practice, no source.
const MaxAdvice = 12.0

// GentleDB is the most that a limiter takes off at one moment without being heard as one:
// past it, what is missing is better found in the mix. Common practice, no source.
const GentleDB = 3.0

// SqueezedShare is the share of the loudest 30 s, in pieces of 1.5 ms, that touches the top of
// a track that a limiter or a clipper has been at for more than moments: at 128 BPM a kick
// that touches it for 20 ms makes 4 %. Ours, no source.
const SqueezedShare = 0.1

// Trim is the gain in dB that brings a track to its group's level, in steps of 0.1:
// Wanted at the mixer; Safe, what of it can be baked into the file, NaN where the true
// peak is not known; and Limiting, the most that a limiter in the master takes off for the
// rest, NaN where none gets there. P95 is what it takes off, or less, for 95 % of the time;
// where that is not known, nothing was worked out on the audio, and Limiting is the least that
// it can be. Over2 is the share of the time with more than 2 dB and At the second with most of
// it. Short is by how much the level is missed with GentleDB at most, and Flat the share of the
// loudest part that touches the top already; both may be NaN.
type Trim struct {
	Wanted, Safe, Limiting float64
	P95, Over2, At         float64
	Short, Flat            float64
	// Thin: its low end is thin as it is, so that less of it is no way to make room.
	Thin bool
}

// leastShort in dB is the least that a level is said to be missed by.
const leastShort = 0.05

// Question tells a trim that is none: nobody turns a mixer that far.
func (t Trim) Question() bool { return math.Abs(t.Wanted) > MaxAdvice }

// Sentence says what to do about the level, to stand behind the word "trim". Every gain
// has one decimal and its sign.
func (t Trim) Sentence() string {
	switch {
	case t.Question():
		return fmt.Sprintf("%.1f dB is more than a trim should be: is this the finished file?", math.Abs(t.Wanted))
	case t.Wanted == 0:
		return "0.0 dB, as loud as what it is held against."
	case t.Wanted < 0:
		return fmt.Sprintf("%+.1f dB at the mixer or in the file.", t.Wanted)
	case math.IsNaN(t.Safe):
		return fmt.Sprintf("%+.1f dB at the mixer; leave the file as it is, as its true peak is not known.", t.Wanted)
	case t.Limiting <= 0:
		return fmt.Sprintf("%+.1f dB at the mixer or in the file; its peaks allow it.", t.Wanted)
	case t.Safe <= 0:
		return fmt.Sprintf("%+.1f dB at the mixer; in the file its peaks leave no room, %s.", t.Wanted, t.limited("so it"))
	}
	return fmt.Sprintf("%+.1f dB at the mixer; in the file its peaks allow %+.1f dB, %s.", t.Wanted, t.Safe, t.limited("the rest"))
}

// limited says what a limiter has to do for what is left, and what else to do where that is too
// much.
func (t Trim) limited(what string) string {
	switch {
	case math.IsNaN(t.Limiting):
		return "and no limiter gets there: " + t.mix(fmt.Sprintf("%.0f dB off at once", GentleDB))
	case math.IsNaN(t.P95):
		return fmt.Sprintf("%s takes at least %.1f dB of limiting in the master", what, t.Limiting)
	case t.Limiting <= GentleDB && !t.squeezed():
		return fmt.Sprintf("%s takes %.1f dB of limiting in the master at most%s", what, t.Limiting, t.spread())
	case t.Limiting <= GentleDB:
		return fmt.Sprintf("%s takes %.1f dB of limiting in the master at most%s. %s", what, t.Limiting, t.spread(), t.already())
	}
	return fmt.Sprintf("%s takes %.1f dB of limiting in the master at most%s. That is more than about %.0f dB at once: %s",
		what, t.Limiting, t.spread(), GentleDB, t.mix("no more"))
}

// spread says how much of the time a limiter works, and where.
func (t Trim) spread() string {
	s := " (none for 95 % of the time"
	if tenth(t.P95) > 0 {
		s = fmt.Sprintf(" (%.1f dB or less for 95 %% of the time", t.P95)
	}
	if t.Over2 >= 0.005 {
		s += fmt.Sprintf(", over 2 dB for %.0f %% of it", 100*t.Over2)
	}
	if at := Clock(t.At); at != "" {
		s += ", most at " + at
	}
	return s + ")"
}

// mix says what the mix has to give, with so much limiting.
func (t Trim) mix(with string) string {
	switch {
	case t.Short < leastShort && t.squeezed():
		return "not for a limiter alone. " + t.already()
	case t.Short < leastShort:
		return "better found in the mix, with peaks that stand out turned down there" + t.lessLow()
	}
	short := fmt.Sprintf("with %s the master stays %.1f dB short", with, t.Short)
	if t.squeezed() {
		return short + ". " + t.already()
	}
	return short + ", which is for the mix to give: peaks that stand out turned down there" + t.lessLow()
}

func (t Trim) lessLow() string {
	if t.Thin {
		return ""
	}
	return ", or less low end"
}

// squeezed tells a track that was limited or clipped hard already.
func (t Trim) squeezed() bool { return t.Flat >= SqueezedShare }

// already says what has been done to the track.
func (t Trim) already() string {
	return fmt.Sprintf("It was limited or clipped already (%.0f %% of its loudest part touches the top): go back to the mix rather than limit it again", 100*t.Flat)
}

// after joins the sentence to what is said of the level: a question stands alone.
func (t Trim) after() string {
	if t.Question() {
		return ". " + t.Sentence()
	}
	return ": trim " + t.Sentence()
}
