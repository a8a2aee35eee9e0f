package faults

import (
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/reason"
)

// kicks are kicks at 120 BPM that swing further up than down by the given share, with
// nothing between them.
func kicks(seconds float64, up float64) [][]float32 {
	n := int(seconds * plantedRate)
	x := make([]float32, n)
	for i := range x {
		s := math.Mod(float64(i)/plantedRate, 0.5)
		v := 0.7 * math.Min(1, s/0.002) * math.Exp(-s/0.05) * math.Sin(2*math.Pi*55*s)
		if v > 0 {
			v *= 1 + up
		}
		x[i] = float32(v)
	}
	return quantise([][]float32{x, x}, rand.New(rand.NewPCG(3, 3)))
}

// centred moves x so that it rests at off where its mean would be zero: a lopsided limiter
// and DC against it.
func centred(x [][]float32, off float32) [][]float32 {
	sum := float32(0)
	for _, v := range x[0] {
		sum += v / float32(len(x[0]))
	}
	n := len(x[0]) * 2 / 3 // a third of the track is silence off centre: the mean is nearly zero
	for i := range x[0][:n] {
		x[0][i] *= -off * 1.5 / sum
	}
	clear(x[0][n:])
	return each(func(v float32) float32 { return v + off })(x)
}

// partly moves the first seconds of x alone.
func partly(x [][]float32, seconds int, off float32) [][]float32 {
	for i := range x[0][:seconds*plantedRate] {
		x[0][i] += off
	}
	return x
}

// seesaw is a wave of ten a second, two blocks long, whose upper half has noise in it.
func seesaw(seconds int) [][]float32 {
	rng := rand.New(rand.NewPCG(7, 7))
	x := make([]float32, seconds*plantedRate)
	for i := range x {
		x[i] = -0.1 + float32(0.01*rng.NormFloat64())
		if i/2176%2 == 0 { // a block of 34 cells of 64 samples
			x[i] = 0.1 + float32(0.2*rng.NormFloat64())
		}
	}
	return [][]float32{x, append([]float32{}, x...)}
}

// A track that rests off zero has DC; one whose waves are lopsided, or whose last wave
// is cut in half, has not.
func TestDC(t *testing.T) {
	tone := func(hz, seconds, offset float64) [][]float32 {
		x := make([]float32, int(seconds*plantedRate))
		for i := range x {
			x[i] = float32(0.6*math.Sin(2*math.Pi*hz*float64(i)/plantedRate) + offset)
		}
		return [][]float32{x, x}
	}
	for _, tt := range []struct {
		name  string
		audio [][]float32
		dc    bool
	}{
		{"30 s of lopsided kicks", kicks(30, 0.8), false},
		{"the same off centre by 0.5 %", each(func(v float32) float32 { return v*0.5 + 0.005 })(kicks(30, 0.8)), true},
		{"30 s of a wave of ten a second, quiet in its lower half", seesaw(30), false},
		{"4 s of 25 Hz and half a wave", tone(25, 4.02, 0), false},
		{"30 s of 25 Hz off centre by 0.45 %", tone(25, 30, 0.0045), true},
		{"2 min of 25 Hz off centre by 0.27 %", tone(25, 120, 0.0027), true},
		{"2 min of 25 Hz off centre by -0.25 %", tone(25, 120, -0.0025), true},
		{"2 min of 25 Hz off centre by -0.21 %", tone(25, 120, -0.0021), false},
		{"30 s of kicks with a mean of zero, off centre by 0.3 %", centred(kicks(30, 0.8), 0.003), true},
		{"30 s of lopsided kicks, 5 s of them off centre by 2 %", partly(kicks(30, 0.8), 5, 0.02), false},
		{"30 s of 25 Hz off centre by -0.2 %", tone(25, 30, -0.002), false},
		{"2 s off centre by 1 %", tone(100, 2, 0.01), false},
		{"3.5 s of 100 Hz off centre by 1 %", tone(100, 3.5, 0.01), true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			found := false
			for _, f := range run(wav(plantedRate, 2), tt.audio).Faults {
				found = found || f.Kind.Reason() == reason.DCOffset.Reason()
			}
			if found != tt.dc {
				t.Errorf("DC found: %v, want %v", found, tt.dc)
			}
		})
	}
}

// TestRestOfLongTracks: of hours, minutes from all over the track are held, each block as it
// was; a channel rests where they say.
func TestRestOfLongTracks(t *testing.T) {
	r := newRest(dcBlockCells / dcBlock)
	if r.perBlock != dcBlockCells {
		t.Fatalf("%d cells a block, want %d", r.perBlock, dcBlockCells)
	}
	const blocks = 3 * dcStretch * dcStretches
	for i := range blocks * dcBlockCells {
		off := float32(0.004)
		if i >= blocks*dcBlockCells/2 {
			off = 0.006
		}
		r.add(&cell{n: 64, sum: 64 * off, energy: 64 * 0.01})
	}
	if n := r.blocks.Len(); n > dcStretch*dcStretches || n < dcStretch*dcStretches/2 {
		t.Errorf("%d blocks held", n)
	}
	if got := r.offset(0.005, 0.01, blocks*dcBlock); math.Abs(got-0.005) > 1e-4 {
		t.Errorf("rests at %.5f, want 0.005", got)
	}
}

// dcBlockCells are the cells of a block at 44.1 kHz.
const dcBlockCells = 34

// Twice 1, 2, 1: of one block in five that is 4, 1.5 and 0.25 come to lie beside it; the ends
// stay as they are.
func TestSmoothed(t *testing.T) {
	r := newRest(dcBlockCells / dcBlock)
	for _, v := range []float32{4, 0, 0, 0, 0} {
		r.blocks.Append(restBlock{v, 2 * v})
	}
	for i, want := range []float32{4, 1.5, 0.25, 0, 0} {
		if got := r.smoothed()[i]; got != (restBlock{want, 2 * want}) {
			t.Errorf("block %d: %+v, want %v", i, got, want)
		}
	}
}

// Of 40 blocks that weigh the same one has a mean of 1: the rest is 1/40, two groups are off by a
// half each, and so it is off by the root of a half over 40.
func TestRestOf(t *testing.T) {
	blocks := make([]restBlock, 2*dcGroup)
	for i := range blocks {
		blocks[i].energy = 1
	}
	blocks[0].mean = 1
	if at, sigma := restOf(blocks, 0, 1, dcFloor); math.Abs(at-1./40) > 1e-9 || math.Abs(sigma-math.Sqrt(0.5)/40) > 1e-9 {
		t.Errorf("%v, off by %v", at, sigma)
	}
}
