package reason

import (
	"fmt"
	"math"
)

// MaxAdvice in dB is the largest change that is ever advised. What is further off is
// another recording, another stage of the work or a broken file, and no gain or EQ
// makes it right. Common practice, no source.
const MaxAdvice = 12.0

// Trim is the gain in dB that brings a track to its group's level, in steps of 0.1:
// Wanted at the mixer; Safe, what of it can be baked into the file, NaN where the true
// peak is not known; and Limiting, what a limiter in the master has to take for the rest.
type Trim struct{ Wanted, Safe, Limiting float64 }

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
		return fmt.Sprintf("%+.1f dB at the mixer; in the file its peaks leave no room, so it takes %.1f dB of limiting in the master.",
			t.Wanted, t.Limiting)
	}
	return fmt.Sprintf("%+.1f dB at the mixer; in the file its peaks allow %+.1f dB, the rest takes %.1f dB of limiting in the master.",
		t.Wanted, t.Safe, t.Limiting)
}

// after joins the sentence to what is said of the level: a question stands alone.
func (t Trim) after() string {
	if t.Question() {
		return ". " + t.Sentence()
	}
	return ": trim " + t.Sentence()
}
