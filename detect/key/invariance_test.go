package key

import (
	"fmt"
	"math"
	"reflect"
	"testing"
)

// Detuned by up to 40 cents, a track keeps its key and the tuning is found.
func TestDetuned(t *testing.T) {
	const close = 6 // cents: overtones that fit no semitone pull by a few
	for _, tb := range []timbre{sine, saw, plucked, fm} {
		for cents := -40.0; cents <= 40; cents += 20 {
			t.Run(fmt.Sprintf("%s %+.0f", timbreNames[tb], cents), func(t *testing.T) {
				tn := chordTune()
				tn.timbre, tn.cents = tb, cents
				got := listen(tn.render(testRate), testRate).Result()
				if want := (Key{9, Minor}); got.Key != want {
					t.Errorf("found %v", got.Key)
				}
				if math.Abs(got.TuningCents-cents) > close {
					t.Errorf("tuning %.1f cents", got.TuningCents)
				}
			})
		}
	}
}

func TestRates(t *testing.T) {
	for _, rate := range []int{8000, 11025, 16000, 32000, 44100, 48000, 96000, 192000} {
		x := chordTune().render(rate)
		if got, want := listen(x, rate).Result(), (Key{9, Minor}); got.Key != want {
			t.Errorf("%d Hz: found %v", rate, got.Key)
		}
	}
}

// Neither the size of the blocks nor the channels' phase change the answer.
func TestBlocksAndPhase(t *testing.T) {
	x := chordTune().render(testRate)
	inverted := make([]float32, len(x))
	for i, v := range x {
		inverted[i] = -v
	}
	whole := New(testRate, 1)
	whole.Write([][]float32{x})
	want := whole.Result()
	if got := listen(x, testRate).Result(); !reflect.DeepEqual(got, want) {
		t.Errorf("in small blocks %+v, in one %+v", got, want)
	}
	opposite := New(testRate, 2)
	opposite.Write([][]float32{x, inverted})
	if got := opposite.Result(); got.Key != want.Key || math.Abs(got.TuningCents-want.TuningCents) > 0.5 {
		t.Errorf("in opposite phase %v, %+.1f cents; in phase %v, %+.1f cents", got.Key, got.TuningCents, want.Key, want.TuningCents)
	}
}

// Long tracks have their moments merged: the memory stays, and so does the
// answer.
func TestLongTrack(t *testing.T) {
	x := chordTune().render(11025)
	m := New(11025, 1)
	const hours = 1
	for done := 0; done < hours*3600*11025; done += len(x) {
		m.Write([][]float32{x})
	}
	if got, want := m.Result(), (Key{9, Minor}); got.Key != want {
		t.Errorf("found %v", got.Key)
	}
	if cap(m.moments) != maxMoments {
		t.Errorf("room for %d moments, want %d", cap(m.moments), maxMoments)
	}
}

func TestWriteDoesNotAllocate(t *testing.T) {
	x := chordTune().render(44100)[:8192]
	m := New(44100, 2)
	block := [][]float32{x, x}
	if n := testing.AllocsPerRun(20, func() { m.Write(block) }); n != 0 {
		t.Errorf("%v allocations a block", n)
	}
}

// A tone above half the working rate must not come back as another one:
// 8 kHz would alias to 3025 Hz at 11025 Hz.
func TestDecimationKeepsAliasesOut(t *testing.T) {
	const rate, least = 44100, 65 // dB, five under stopbandDB for the ripple
	d := newDecimator(rate)
	power := func(hz float64) (p float64) {
		x := make([]float64, chunk)
		n := 0
		for block := range 8 {
			for i := range x {
				x[i] = math.Sin(2 * math.Pi * hz * float64(block*chunk+i) / rate)
			}
			y := d.write(x)
			if block >= 2 {
				for _, v := range y {
					p += v * v
				}
				n += len(y)
			}
		}
		return p / float64(n)
	}
	pass := power(1000)
	if math.Abs(10*math.Log10(2*pass)) > 0.01 {
		t.Errorf("1 kHz comes out %+.3f dB", 10*math.Log10(2*pass))
	}
	for _, hz := range []float64{7600, 8000, 11025, 14000, 18600, 21000} {
		if got := 10 * math.Log10(pass/power(hz)); got < least {
			t.Errorf("%.0f Hz is %.1f dB down, want %d", hz, got, least)
		}
	}
}
