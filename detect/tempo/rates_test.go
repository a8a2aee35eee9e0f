package tempo

import (
	"math"
	"testing"
)

const (
	ratesBPM    = 127.3
	ratesOffset = 0.2537 // seconds, no whole number of samples at any rate
	// ratesBeat is how close the first beat must come at any sample rate, in
	// seconds; at 8 kHz that is 24 samples.
	ratesBeat = 0.003
)

// band plays kick, rim and bass at any sample rate, all below 3.5 kHz so that
// every rate holds the same music.
func band(rate int, seconds float64) [][]float32 {
	n := int(seconds * float64(rate))
	out := make([]float32, n)
	voices := []struct {
		steps string
		value func(t float64) float64
	}{
		{"x...x...x...x...", func(t float64) float64 {
			return 0.6 * math.Exp(-t/0.09) * math.Sin(2*math.Pi*(50*t+3.5*(1-math.Exp(-t/0.03))))
		}},
		{"..x...x...x..x..", func(t float64) float64 { return 0.2 * math.Exp(-t/0.015) * math.Sin(2*math.Pi*1700*t) }},
		{"x..x..x...x.x...", func(t float64) float64 { return 0.2 * math.Exp(-t/0.15) * math.Sin(2*math.Pi*55*t) }},
	}
	for i := 0; ; i++ {
		at := ratesOffset + float64(i)*15/ratesBPM
		if at >= seconds {
			return [][]float32{out, out}
		}
		for _, v := range voices {
			if v.steps[i%16] != 'x' {
				continue
			}
			from := int(math.Ceil(at * float64(rate)))
			for j := from; j < min(n, from+rate/2); j++ {
				out[j] += float32(v.value(float64(j)/float64(rate) - at))
			}
		}
	}
}

func TestSampleRates(t *testing.T) {
	for _, rate := range []int{8000, 16000, 22050, 44100, 48000, 96000, 192000} {
		r := measure(band(rate, 30), rate)
		t.Logf("%6d Hz: %.4f BPM, first beat %.5f s", rate, r.BPM, r.FirstBeat)
		if !(math.Abs(r.BPM-ratesBPM) <= bpmTolerance) {
			t.Errorf("%d Hz: %.4f BPM, want %.1f", rate, r.BPM, ratesBPM)
		}
		if !(math.Abs(r.FirstBeat-ratesOffset) <= ratesBeat) {
			t.Errorf("%d Hz: first beat at %.5f s, want %.4f", rate, r.FirstBeat, ratesOffset)
		}
	}
}

// The result is the same to the last bit however the track is cut into blocks.
func TestBlocks(t *testing.T) {
	x := band(44100, 20)
	want := measure(x, 44100)
	for _, size := range []int{1, 7, 441, 4096, 65537} {
		m := New(44100, 2)
		for from := 0; from < len(x[0]); from += size {
			to := min(from+size, len(x[0]))
			m.Write([][]float32{x[0][from:to], x[1][from:to]})
		}
		if got := m.Result(); !same(got, want) {
			t.Errorf("blocks of %d: %+v, want %+v", size, got, want)
		}
	}
}

// same compares all numbers, NaN being equal to NaN.
func same(a, b Result) bool {
	x := []float64{a.BPM, a.Alternative, a.Confidence, a.FirstBeat, a.FirstDownbeat, a.DownbeatConfidence, a.DriftPercent, a.DriftFrom, a.Swing, a.EighthSwing, a.Uncertainty, a.ChangeAt, a.ChangeFrom, a.ChangeTo}
	y := []float64{b.BPM, b.Alternative, b.Confidence, b.FirstBeat, b.FirstDownbeat, b.DownbeatConfidence, b.DriftPercent, b.DriftFrom, b.Swing, b.EighthSwing, b.Uncertainty, b.ChangeAt, b.ChangeFrom, b.ChangeTo}
	for i := range x {
		if x[i] != y[i] && !(math.IsNaN(x[i]) && math.IsNaN(y[i])) {
			return false
		}
	}
	return true
}

// A block is taken in without an allocation: what the curves need to grow is
// far less than one for each block, and AllocsPerRun rounds down.
func TestNoAllocationPerBlock(t *testing.T) {
	for _, rate := range []int{44100, 192000} {
		x := band(rate, 8)
		m := New(rate, 2)
		m.Write(x)
		block := [][]float32{x[0][:4096], x[1][:4096]}
		if n := testing.AllocsPerRun(300, func() { m.Write(block) }); n != 0 {
			t.Errorf("%d Hz: %.0f allocations a block of 4096", rate, n)
		}
	}
}

// heldBytes bounds what a Meter holds of a track however long, by the limits of
// its three curves, with the quarter by which append may overshoot.
const heldBytes = 1.25 * (parts*4*maxValues + 4*fineLength/fineSeconds + bandCount*levelLimit/(levelFrames*hopSeconds))

// A recording of two hours, its onsets given to the curve directly: it stays
// within its bound, at half its rate, and the tempo still is exact.
func TestTwoHours(t *testing.T) {
	const period = 86 // values a beat
	m := New(22050, 1)
	f := m.front
	bpm := 60 / (period * f.curve.step)
	click := []float32{1, 0, 0, 0, 0, 0, 0, 0}
	for i := range int(7200 / f.curve.step) {
		v := [parts]float32{0, 0.1, 0.1}
		click[0] = 1
		if i%period < 2 {
			v, click[0] = [parts]float32{3, 2, 2}, 3
		}
		f.curve.append(v)
		f.levels.next()
		for range f.hop / len(click) {
			f.fine.write(click)
		}
	}
	if n := f.curve.part[0].Len(); n > maxValues || n < maxValues/2 || f.curve.fold != 3 {
		t.Errorf("%d values, %d of them folded into one", n, f.curve.fold+1)
	}
	held := f.levels.value.Cap() + 4*cap(f.fine.value)
	for p := range f.curve.part {
		held += 4 * f.curve.part[p].Cap()
	}
	t.Logf("%.1f MB held of two hours", float64(held)/1e6)
	if float64(held) > heldBytes {
		t.Errorf("%d bytes held, %.0f allowed", held, heldBytes)
	}
	if r := m.Result(); !(math.Abs(r.BPM-bpm) <= bpmTolerance) {
		t.Errorf("%.4f BPM, want %.4f", r.BPM, bpm)
	}
}
