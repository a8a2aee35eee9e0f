package words

import (
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/compare"
)

// Compared says in sentences how track B lies beside track A: what was done between them, where
// the one is in the other, what changed in the spectrum, and where in time they differ.
func Compared(r *compare.Result) []string {
	out := []string{done(r)}
	if r.Kind == compare.Other {
		return out
	}
	if r.Inverted {
		out = append(out, "B has the opposite polarity.")
	}
	if s := begins(float64(r.OffsetS)); s != "" {
		out = append(out, s)
	}
	if v := float64(r.SpeedPercent); v != 0 {
		out = append(out, fmt.Sprintf("B plays %.4f %% %s.", math.Abs(v), either(v, "faster", "slower")))
	}
	if s := changes(r); s != "" {
		out = append(out, s)
	}
	return append(out, differences(r.Differ)...)
}

// ComparedTracks is Compared with what the figures of the two say against it: one beat has one
// tempo, so that where two were measured, one is wrong.
func ComparedTracks(r *compare.Result, one, two *detect.Measurement) []string {
	out := Compared(r)
	a, b := float64(one.Tempo.BPM), float64(two.Tempo.BPM)
	off := math.Abs(math.Log2(a/b) - math.Round(math.Log2(a/b)))
	whole := float64(r.OverlapS) >= oneBeat*float64(max(one.File.DurationS, two.File.DurationS))
	if r.Kind == compare.Other || float64(r.SpeedPercent) != 0 || !whole || !(off > oneTempo) {
		return out
	}
	return append(out, fmt.Sprintf("Both have the same beat, so that one of the two tempi (%.1f and %.1f BPM) is wrong: tap along before you go by either.", a, b))
}

const (
	// oneBeat is the share of the longer track that both must play for one beat to be all of it.
	oneBeat = 0.9
	// oneTempo in octaves is what two readings of one tempo differ by at most: 0.5 %.
	oneTempo = 0.0072
)

// done says what was done.
func done(r *compare.Result) string {
	but := elsewhere(r.Differ)
	switch r.Kind {
	case compare.Same:
		return "The same audio" + but + "."
	case compare.Gain:
		if math.Abs(float64(r.GainDB)) < leastGain {
			return "The same audio but for its polarity or its speed" + but + "."
		}
		return "Only the gain differs" + but + ": B is " + louder(r.GainDB) + "."
	case compare.Limiter:
		return fmt.Sprintf("Only the limiter differs, and the gain%s: %s is limited more, by %.1f dB in its loud moments.",
			but, either(float64(r.ReductionDB), "B", "A"), math.Abs(float64(r.ReductionDB)))
	case compare.Equaliser:
		return "Only the equaliser differs, and the gain" + but + ": B is " + louder(r.GainDB) + "."
	case compare.Encoder:
		return fmt.Sprintf("The same master, one of them through an encoder%s: what differs lies %.0f dB under the music. %s",
			but, -float64(r.ResidualDB), Capital("B is "+louder(r.GainDB)+"."))
	case compare.Mix:
		return "The same music, mixed anew or treated in several ways: B is " + louder(r.GainDB) + "."
	}
	return "Not the same music, or not to be laid on each other: only the figures are held side by side."
}

// elsewhere says, where the two differ in some places, that what was done is that of the rest.
func elsewhere(all []compare.Span) string {
	n := 0
	for _, s := range all {
		if s.In == "both" {
			n++
		}
	}
	switch n {
	case 0:
		return ""
	case 1:
		return ", but for one place"
	}
	return fmt.Sprintf(", but for %d places", n)
}

// leastGain in dB is written as a gain.
const leastGain = 0.005

func louder(dB detect.Value) string {
	if math.Abs(float64(dB)) < leastGain {
		return "as loud as A"
	}
	return fmt.Sprintf("%.2f dB %s than A", math.Abs(float64(dB)), either(float64(dB), "louder", "quieter"))
}

func either(v float64, positive, negative string) string {
	if v < 0 {
		return negative
	}
	return positive
}

// begins says where the one lies in the other; nothing when they begin together.
func begins(offset float64) string {
	switch {
	case offset >= 0.0005:
		return fmt.Sprintf("What A begins with comes %.3f s into B.", offset)
	case offset <= -0.0005:
		return fmt.Sprintf("B begins %.3f s into A.", -offset)
	}
	return ""
}

// leastChange in dB is told of a third octave.
const leastChange = 1.0

// changes lists the parts of the spectrum in which B lies higher or lower at equal level.
func changes(r *compare.Result) string {
	var parts []string
	for from := 0; from < len(r.ChangeDB); {
		to, most := from, 0.0
		for to < len(r.ChangeDB) && sameSide(r.ChangeDB[from], r.ChangeDB[to]) {
			if v := float64(r.ChangeDB[to]); math.Abs(v) > math.Abs(most) {
				most = v
			}
			to++
		}
		if most != 0 {
			where := fmt.Sprintf("at %g Hz", r.CentreHz[from])
			if to-1 > from {
				where = fmt.Sprintf("at most from %g to %g Hz", r.CentreHz[from], r.CentreHz[to-1])
			}
			parts = append(parts, fmt.Sprintf("%+.1f dB %s", most, where))
		}
		from = max(to, from+1)
	}
	if len(parts) == 0 {
		return ""
	}
	return "At equal level B has " + AndList(parts) + "."
}

func sameSide(a, b detect.Value) bool {
	return math.Abs(float64(a)) >= leastChange && math.Abs(float64(b)) >= leastChange && (a < 0) == (b < 0)
}

// mostDifferences are listed; more than that is another arrangement.
const mostDifferences = 8

func differences(all []compare.Span) []string {
	var out []string
	for i, s := range all {
		if i == mostDifferences {
			return append(out, fmt.Sprintf("They differ in %s more.", Counted(len(all)-i, "place")))
		}
		span := Clock(s.StartS) + " to " + Clock(s.EndS)
		if s.In == "both" {
			out = append(out, fmt.Sprintf("From %s in A they differ, by %.0f dB on average over the bands.", span, s.DB))
		} else {
			out = append(out, fmt.Sprintf("Only %s has its %s.", Capital(s.In), span))
		}
	}
	return out
}
