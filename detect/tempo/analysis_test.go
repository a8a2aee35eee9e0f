package tempo

import "testing"

// Chords that swell come a fifth of a beat late against the drums that enter after them; the
// drums' sections agree. Where the low end plays all the time, or for less than half of it, nothing is left out.
func TestDrummed(t *testing.T) {
	const step, hz, seconds = 0.006, 2.0, 120.0
	n := int(seconds / step)
	drumsAfter := func(drumsFrom float64, bassBefore float64) *reading {
		a := &analysis{step: step, total: make([]float64, n)}
		for p := range a.part {
			a.part[p] = make([]float64, n)
		}
		for i := range n {
			at := float64(i) * step
			late, bass := 0.0, 1.0
			if at < drumsFrom {
				late, bass = 0.2/hz, bassBefore
			}
			if turn := wrap((at - late) * hz); turn < 0.1 {
				a.total[i], a.part[low][i] = 1, bass
			}
		}
		detrend(a.total, 41)
		b := &reading{analysis: a, pulse: pulse{hz: hz, sections: sections(a.total, step, hz)}}
		b.pulse.coherence = coherence(b.pulse.sections)
		return b
	}
	b := drumsAfter(48, 0.1)
	if b.pulse.coherence > 0.85 || b.drummed() < 0.97 {
		t.Errorf("drums after 48 s: all %.3f, with drums %.3f", b.pulse.coherence, b.drummed())
	}
	b = drumsAfter(30, 0.1)
	if got, _ := b.best(); got.bend != nil {
		t.Error("read as a tempo that moves")
	}
	if b.bent(b.read()).bend == nil {
		t.Error("would be read as steady anyway")
	}
	if b := drumsAfter(48, 0.5); b.drummed() != b.pulse.coherence {
		t.Errorf("a bass all the time: %.3f, want %.3f", b.drummed(), b.pulse.coherence)
	}
	if got := drumsAfter(66, 0.1).drummed(); got != 0 {
		t.Errorf("drums for less than half: %.3f", got)
	}
}
