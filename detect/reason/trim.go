package reason

import "fmt"

// Trim is the gain in dB that brings a track to its group's level: Wanted, Safe under
// the ceiling of true peaks, and what Limiting would have to take, the first minus the
// second.
type Trim struct{ Wanted, Safe, Limiting float64 }

// words says what to do about the level.
func (t Trim) words() string {
	switch {
	case t.Wanted <= 0 && t.Limiting <= 0:
		return fmt.Sprintf("trim %+.1f dB", t.Wanted)
	case t.Limiting <= 0:
		return fmt.Sprintf("trim %+.1f dB, which its peaks allow", t.Wanted)
	case t.Wanted <= 0:
		return fmt.Sprintf("trim %+.1f dB, or %+.1f dB to keep its true peak under the ceiling as well", t.Wanted, t.Safe)
	}
	return fmt.Sprintf("it needs %+.1f dB, of which its peaks allow %+.1f dB; the rest is %.1f dB of limiting in the master",
		t.Wanted, t.Safe, t.Limiting)
}

// oneChannelWords follow on the trim of a mono file.
const oneChannelWords = ". It is a mono file, which plays 3 dB louder on two loudspeakers than it reads: allow for that"
