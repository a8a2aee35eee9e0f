package kick

import (
	"math"
	"testing"
)

// note is one of a bass line: from and to in sixteenths from the first kick, and where its phase begins.
type note struct{ from, to, hz, phase float64 }

// bassLine gives the notes of 32 bars over a four to the floor: bar by bar the notes at 49, 58.3, 43.7 and
// 65.4 Hz (G1, Bb1, F1, C2), at each of some steps and so many sixteenths long. Their phases are any, as
// of a synthesiser that runs freely.
func bassLine(steps []float64, length float64) (out []note) {
	for bar := range 32 {
		hz := []float64{48.9994, 58.2705, 43.6535, 65.4064}[bar%4]
		for _, s := range steps {
			from := float64(16*bar) + s
			out = append(out, note{from, from + length, hz, 2.4 * float64(len(out)*len(out))})
		}
	}
	return out
}

// play renders notes with edges of 6 and 30 ms, as a bass has them, and p's ducking.
func (p pattern) play(notes []note) []float64 {
	out := make([]float64, int(p.seconds*testRate))
	step := 15 / p.bpm
	for _, n := range notes {
		from, to := 0.2+p.late+n.from*step, 0.2+p.late+n.to*step
		for i := max(0, int(from*testRate)); i < min(len(out), int(to*testRate)); i++ {
			t := float64(i)/testRate - from
			edges := min(1, max(0, t/0.006), (to-from-t)/0.03)
			out[i] += edges * math.Sin(2*math.Pi*n.hz*t+n.phase)
		}
	}
	for i, g := range p.gains(len(out)) {
		out[i] *= g
	}
	return out
}

// gains is the ducking by samples.
func (p pattern) gains(n int) []float64 {
	out := make([]float64, n)
	for _, h := range p.hits() {
		for i := max(0, int((h-0.02)*testRate)); i < min(n, int((h+1)*testRate)); i++ {
			out[i] = min(out[i], p.gainAt(float64(i)/testRate-h))
		}
	}
	for i := range out {
		out[i] = math.Pow(10, out[i]/20)
	}
	return out
}

// TestDuckingOfNotes: what was dialled in within 1.5 dB, at notes that are held for a bar or three
// quarters of one, where others begin with a kick; and none of 0 dB.
func TestDuckingOfNotes(t *testing.T) {
	for _, duck := range []float64{0, 3, 6, 12} {
		for name, notes := range map[string][]note{
			"a bar each":        bassLine([]float64{0}, 16),
			"from an off-beat":  bassLine([]float64{2}, 14),
			"two that overlap":  bassLine([]float64{2, 10}, 7),
			"three quarters":    bassLine([]float64{0}, 11),
			"and staccato ones": append(bassLine([]float64{2}, 9), bassLine([]float64{12, 14}, 1)...),
		} {
			p := four(pattern{bpm: 125, kickDB: 6, tail: 0.07, duck: duck, hold: 0.04, release: 0.12})
			kick, _ := p.render()
			r := p.measure(kick, p.play(notes))
			if !(math.Abs(r.Dip-duck) < 1.5) {
				t.Errorf("%s: %.2f dB, dialled in %g", name, r.Dip, duck)
			}
			if back := p.hold + p.release*(1-3.0103/duck); duck > 3 && !(math.Abs(r.Back-back) < 0.015) {
				t.Errorf("%s, %g dB: back after %.3f s, want %.3f", name, duck, r.Back, back)
			}
		}
	}
}

// TestNoDucking: a bass that begins with each kick, plays beside the beat or in rhythm with it, or is
// struck anew at each kick, is held through none: no ducking is told, dialled in or not.
func TestNoDucking(t *testing.T) {
	for name, notes := range map[string][]note{
		"begins with each kick":          bassLine([]float64{0, 4, 8, 12}, 3),
		"begins with it, up to the next": bassLine([]float64{0, 4, 8, 12}, 4),
		"begins just behind it":          bassLine([]float64{0.3, 4.3, 8.3, 12.3}, 3.5),
		"off the beat":                   bassLine([]float64{2, 6, 10, 14}, 2),
		"off the beat, short":            bassLine([]float64{2, 6, 10, 14}, 1),
		"three sixteenths behind it":     bassLine([]float64{1, 2, 3, 5, 6, 7, 9, 10, 11, 13, 14, 15}, 0.9),
		"staccato in eighths":            bassLine([]float64{0, 2, 4, 6, 8, 10, 12, 14}, 1),
		"every sixteenth":                bassLine([]float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15}, 0.9),
	} {
		for _, duck := range []float64{0, 6} {
			p := four(pattern{bpm: 125, kickDB: 6, tail: 0.07, duck: duck, hold: 0.04, release: 0.12})
			kick, _ := p.render()
			r := p.measure(kick, p.play(notes))
			if r.Kicks < 55 {
				t.Errorf("%s: %d kicks", name, r.Kicks)
			}
			if !math.IsNaN(r.Dip) || !math.IsNaN(r.Back) || r.Held != 0 {
				t.Errorf("%s, %g dB: goes down by %.2f dB, back after %.3f s, %d held", name, duck, r.Dip, r.Back, r.Held)
			}
		}
	}
}

// TestSubIsNotTheKick: the note is the bass's where the kick's tail, at 48 Hz, is stronger and longer;
// of a kick alone there is none.
func TestSubIsNotTheKick(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 9, tail: 0.25, hz: 58.2705})
	kick, bass := p.render()
	if r := p.measure(kick, bass); !(math.Abs(cents(r.Hz, p.hz)) < 5) {
		t.Errorf("under a bass at %g Hz: %.2f Hz", p.hz, r.Hz)
	}
	if r := p.measure(kick); !math.IsNaN(r.Hz) {
		t.Errorf("of a kick alone: %.2f Hz", r.Hz)
	}
	// 43.75 Hz are 21 periods a beat: the bass is one sound with the kick.
	p.hz = 43.75
	_, bass = p.render()
	if r := p.measure(kick, bass); !math.IsNaN(r.Hz) {
		t.Errorf("one sound: %.2f Hz", r.Hz)
	}
}
