package kick

import (
	"math"
	"testing"
)

// TestLed: a note runs on where its phase leads from one end to the other, a turn more or less, to 0.3
// radians; then it has the phase of both.
func TestLed(t *testing.T) {
	const rate = 1000.0
	before := run{hz: 50, phase: 1, amplitude: 1, middle: 100}
	for off, want := range map[float64]bool{0: true, 2 * math.Pi: true, 0.29: true, -0.29: true, 0.31: false, -0.31: false, 3: false} {
		after := run{hz: 50, phase: 1 + 2*math.Pi*15 + off, amplitude: 1, middle: 400} // 0.3 s are 15 periods
		note, ok := led(before, after, rate)
		if ok != want {
			t.Errorf("%g rad off: %v", off, ok)
		}
		if d := stray(note, after, rate); math.Abs(d) > 1e-9 || note.amplitude != 1 || note.phase != 1 {
			t.Errorf("%g rad off: %+v is %g rad off behind the kick", off, note, d)
		}
	}
}

// TestRunOf: the note of a stretch at whatever frequency of a bass, beside a fifth of its amplitude an
// octave above, to 0.2 Hz, 0.2 dB and its share of the power.
func TestRunOf(t *testing.T) {
	const rate = 2756.25
	y := make([]complex64, 325) // 118 ms
	for hz := 32.7; hz < 80; hz += 3.1 {
		for i := range y {
			sin, cos := math.Sincos(2*math.Pi*hz*float64(i)/rate + 1)
			sin2, cos2 := math.Sincos(4 * math.Pi * hz * float64(i) / rate)
			y[i] = complex(float32(0.5*cos+0.1*cos2), float32(0.5*sin+0.1*sin2))
		}
		r := runOf(y, 0, len(y), rate)
		if math.Abs(r.hz-hz) > 0.2 || math.Abs(dB(r.amplitude/0.5)) > 0.2 || math.Abs(r.share-25.0/26) > 0.03 {
			t.Errorf("%.1f Hz: %+v", hz, r)
		}
		// The first side lobe of a Hann window is 31 dB down.
		if n := runAt(y, 0, len(y), rate, hz-20); n.amplitude > 0.03*0.5 {
			t.Errorf("20 Hz beside %.1f Hz: %+v", hz, n)
		}
	}
}

// TestNoteThatEnds: a note that is 4.4 dB weaker just before each kick ends there, though it goes on in
// phase behind it; one that is 1.4 dB weaker does not.
func TestNoteThatEnds(t *testing.T) {
	p := four(pattern{bpm: 125, kickDB: 6, tail: 0.07, hz: 55.3})
	for weaker, held := range map[float64]bool{0.6: false, 0.85: true} {
		kick, bass := p.render()
		for _, h := range p.hits() {
			for i := int((h - 0.06) * testRate); i < int((h-0.008)*testRate); i++ {
				bass[i] *= weaker
			}
		}
		if r := p.measure(kick, bass); math.IsNaN(r.Dip) == held {
			t.Errorf("times %g: %+v", weaker, r)
		}
	}
}

// TestSure: of 16 kicks whose gains are 1 in the middle, the quartiles may be 0.52 apart, four times
// 0.13.
func TestSure(t *testing.T) {
	for apart, want := range map[float64]bool{0: true, 0.51: true, 0.53: false} {
		d := &ducking{g: []float64{1}}
		for k := range 16 {
			d.gains = append(d.gains, []float64{1 + apart*(float64(k)-7.5)/7.5}) // 15 steps, quartiles 7.5 apart
		}
		if d.sure(0) != want {
			t.Errorf("quartiles %g apart: %v", apart, !want)
		}
	}
}
