package reason

import (
	"fmt"
	"math"
)

// Width is a part of the spectrum that is wider than the references, or narrower: the
// level of the sides over the middle, in dB from theirs.
type Width struct{ From, To, Off float64 }

// monoBelow is up to where a part of the spectrum may be summed to mono without the width that
// records have, Hz. Common practice, no source.
const monoBelow = 250.0

// Sentence says where, how far off, and what to do.
func (w Width) Sentence() string {
	where := fmt.Sprintf("From %s to %s your sides are", nominal(w.From), nominal(w.To))
	switch {
	case w.Off > MaxAdvice && w.To > monoBelow:
		return fmt.Sprintf("%s more than %.0f dB wider than your references: listen in mono, and look for a channel that is upside down or late.", where, MaxAdvice)
	case w.Off > MaxAdvice:
		return fmt.Sprintf("%s more than %.0f dB wider than your references: sum that part to mono, or look for a channel that is upside down.", where, MaxAdvice)
	case w.Off > 0:
		return fmt.Sprintf("%s %s dB wider than your references: take about %s dB off the side channel there, and listen in mono.", where, size(w.Off), size(w.Off))
	}
	return fmt.Sprintf("%s %s dB narrower than your references: about %s dB more on the side channel there, if it is meant to be wide.",
		where, size(w.Off), size(min(MaxAdvice, math.Abs(w.Off))))
}

// What is said of the width where there is nothing to compare, or nothing to do.
const (
	NoWidth    = "The channels were not compared when this track was measured: measure the file anew."
	UsualWidth = "As wide as your references."
)

// TooFewWidths says that so few references have figures of the width.
func TooFewWidths(have, all, needed int) string {
	if all < needed {
		return TooFewToAdvise(all, needed)
	}
	return fmt.Sprintf("%d of %s have figures of their width, and it takes %d: measure them anew.", have, Counted(all, "reference"), needed)
}

// MonoPlace says where most is lost in mono, by how much in dB.
func MonoPlace(loss, hz, at float64) string {
	if NothingLeft(loss) {
		return fmt.Sprintf("in mono nothing is left around %s at %s", nominal(hz), Clock(at))
	}
	return fmt.Sprintf("in mono most is lost around %s at %s, %s dB", nominal(hz), Clock(at), size(loss))
}
