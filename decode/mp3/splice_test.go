package mp3

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/decode/stream"
)

// toneFile encodes a sine on both channels.
func toneFile(t *testing.T, rate, channels, n int, hertz float64, args string) []byte {
	t.Helper()
	x := silence(n)
	for i := range n {
		v := 0.5 * math.Sin(2*math.Pi*hertz*float64(i)/float64(rate))
		x[0][i], x[1][i] = v, v
	}
	wav := filepath.Join(t.TempDir(), "tone.wav")
	if err := os.WriteFile(wav, wavBytes(x, rate, channels), 0o644); err != nil {
		t.Fatal(err)
	}
	return readFile(t, encode(t, wav, strings.Fields(args)...))
}

// tone returns the amplitude of the sine of that frequency in x.
func tone(x []float32, rate int, hertz float64) float64 {
	var re, im, norm float64
	for i, v := range x {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(len(x)))
		s, c := math.Sincos(2 * math.Pi * hertz * float64(i) / float64(rate))
		re, im, norm = re+w*float64(v)*c, im+w*float64(v)*s, norm+w
	}
	return 2 * math.Hypot(re, im) / norm
}

const (
	// toneTolerance in dB, of the resampler and of the coding noise in the measurement.
	toneTolerance = 0.05
	// spliceSlack is by how many frames the length of a joined file may differ from the
	// sum: the delay and padding of either part.
	spliceSlack = 3
)

// Files of different rates and channel counts, one behind the other: all the audio is
// kept, at its pitch and level, and the change is named with its time.
func TestSplicedFiles(t *testing.T) {
	for _, c := range []struct {
		name             string
		rate1, channels1 int
		rate2, channels2 int
	}{
		{"44.1 then 48 kHz", 44100, 2, 48000, 2},
		{"48 then 44.1 kHz", 48000, 2, 44100, 2},
		{"44.1 then 32 kHz mono", 44100, 2, 32000, 1},
		{"stereo then mono", 44100, 2, 44100, 1},
		{"mono then stereo", 44100, 1, 44100, 2},
		{"22.05 then 44.1 kHz", 22050, 1, 44100, 2},
		{"48 then 8 kHz", 48000, 2, 8000, 1},
		{"8 then 48 kHz", 8000, 1, 48000, 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			const seconds = 3
			a := toneFile(t, c.rate1, c.channels1, seconds*c.rate1, 1000, "-V 0")
			b := toneFile(t, c.rate2, c.channels2, seconds*c.rate2, 700, "-V 0")
			alone, _ := ours(t, a)
			second, _ := ours(t, b)
			got, s := ours(t, append(a, b...))
			if len(got) != c.channels1 || s.Info().SampleRate != c.rate1 {
				t.Fatalf("%d channels at %d Hz, want those of the first part", len(got), s.Info().SampleRate)
			}
			if _, largest := difference(alone, got); largest > sameTolerance {
				t.Errorf("the first part differs by %v", largest)
			}
			slack := spliceSlack * 1152 * max(1, c.rate1/c.rate2)
			if d := len(got[0]) - 2*seconds*c.rate1; d < -slack || d > slack {
				t.Errorf("%d samples, want %d", len(got[0]), 2*seconds*c.rate1)
			}
			level := tone(second[0][c.rate2:2*c.rate2], c.rate2, 700)
			joined := tone(got[len(got)-1][4*c.rate1:5*c.rate1], c.rate1, 700)
			if db := 20 * math.Log10(joined/level); math.Abs(db) > toneTolerance {
				t.Errorf("the tone of the second part is off by %.2f dB", db)
			}
			if !namesChange(s.Faults(), seconds) {
				t.Errorf("the change is not named: %v", s.Faults())
			}
		})
	}
}

func namesChange(faults []stream.Error, at float64) bool {
	for _, e := range faults {
		if strings.Contains(e.Detail, "goes on") && math.Abs(e.At-at) < 0.3 {
			return true
		}
	}
	return false
}

// Two files of one format joined: nothing is cut where they meet but the second
// file's Info frame, and nothing is wrong.
func TestJoinedFilesOfOneFormat(t *testing.T) {
	a := toneFile(t, 44100, 2, 3*44100, 1000, "-b 128")
	got, s := ours(t, append(a, a...))
	if d := len(got[0]) - 6*44100; d < 0 || d > spliceSlack*1152 {
		t.Errorf("%d samples, want %d", len(got[0]), 6*44100)
	}
	if s.Info().Frames != -1 {
		t.Errorf("Info states %d samples of a joined file, want -1", s.Info().Frames)
	}
}

// The resampler on sines: their level is kept up to 80 % of the lower Nyquist
// frequency, and what is above it is gone.
func TestConverterResponse(t *testing.T) {
	for _, c := range []struct{ from, to int }{{48000, 44100}, {44100, 48000}, {32000, 44100}, {44100, 22050}, {8000, 48000}} {
		nyquist := float64(min(c.from, c.to)) / 2
		for _, part := range []float64{0.01, 0.3, 0.6, 0.8} {
			if db := 20 * math.Log10(tone(resampled(c.from, c.to, part*nyquist), c.to, part*nyquist)); math.Abs(db) > 0.01 {
				t.Errorf("%d to %d Hz: %.3f dB at %v Hz", c.from, c.to, db, part*nyquist)
			}
		}
		if c.from <= c.to {
			continue
		}
		var sum float64
		high := resampled(c.from, c.to, 1.05*nyquist)
		for _, v := range high {
			sum += float64(v) * float64(v)
		}
		if db := 10 * math.Log10(2*sum/float64(len(high))); db > -70 {
			t.Errorf("%d to %d Hz: %.1f dB of a tone above the limit are left", c.from, c.to, db)
		}
	}
}

// resampled converts a sine of amplitude 1 and returns a second from its middle.
func resampled(from, to int, hertz float64) (y []float32) {
	c := newConverter(from, to, 1)
	var in [2][granuleSamples]float32
	for n := 0; len(y) < 2*to; {
		for i := range in[0] {
			in[0][i] = float32(math.Sin(2 * math.Pi * hertz * float64(n) / float64(from)))
			n++
		}
		var out [2][]float32
		c.convert(&in, 1, &out)
		y = append(y, out[0]...)
	}
	return y[to/2 : to/2+to]
}
