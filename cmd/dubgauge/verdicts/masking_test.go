package main

import (
	"math"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

// Whether a noise is heard in music, by psychoacoustic model 1 of ISO/IEC 11172-3:1993,
// Annex D.1: in each critical band, a Bark wide, the music masks as noise does, with the
// model's masking index and spreading function, over the threshold in quiet, full scale
// being played at 96 dB. Masking as by a tone, which hides less, and what a sound hides
// after its end (some 10 dB within the first 20 ms; Jesteadt, Bacon and Lehman, J. Acoust.
// Soc. Am. 71(4), 1982) are left out: they weigh against each other.

const (
	maskFrame = 1024 // 23 ms, twice the model's granule in a layer I frame
	maskBarks = 24
	maskLevel = 96.0 // dB, of full scale
)

// bark is the critical-band rate of a frequency (Zwicker and Terhardt, J. Acoust. Soc. Am.
// 68(5), 1980).
func bark(hz float64) float64 {
	return 13*math.Atan(0.00076*hz) + 3.5*math.Atan(hz/7500*hz/7500)
}

// quietThreshold is that of hearing, in dB (Terhardt, Hear. Res. 1, 1979).
func quietThreshold(hz float64) float64 {
	k := hz / 1000
	return 3.64*math.Pow(k, -0.8) - 6.5*math.Exp(-0.6*(k-3.3)*(k-3.3)) + 1e-3*k*k*k*k
}

// spreading is what a masker of a level in dB has so many barks off, in dB (D.1, step 6).
func spreading(dz, level float64) float64 {
	switch {
	case dz < -3 || dz >= 8:
		return math.Inf(-1)
	case dz < -1:
		return 17*(dz+1) - (0.4*level + 6)
	case dz < 0:
		return (0.4*level + 6) * dz
	case dz < 1:
		return -17 * dz
	}
	return -(dz-1)*(17-0.15*level) - 17
}

// noiseIndex is how far the threshold lies under a masker of noise at z barks, in dB.
func noiseIndex(z float64) float64 { return -1.525 - 0.175*z - 0.5 }

// masked are the thresholds, in dB, of the critical bands for music with these levels.
func masked(music [maskBarks]float64) (out [maskBarks]float64) {
	for i := range out {
		sum := math.Pow(10, quietThreshold(barkMiddles[i])/10)
		for j, level := range music {
			sum += math.Pow(10, (level+noiseIndex(float64(j)+0.5)+spreading(float64(i-j), level))/10)
		}
		out[i] = 10 * math.Log10(sum)
	}
	return out
}

// barkMiddles are frequencies in the middle of the bands, in hertz.
var barkMiddles = func() (out [maskBarks]float64) {
	for i, hz := 0, 20.0; i < maskBarks; hz += 5 {
		if bark(hz) >= float64(i)+0.5 {
			out[i] = hz
			i++
		}
	}
	return out
}()

// masker measures levels of critical bands.
type masker struct {
	fft    *fourier.Power
	window []float32
	x, p   []float32
	band   []int // of each bin, -1 for none
	unit   float64
}

func newMasker() *masker {
	m := &masker{fft: fourier.NewPower(maskFrame), x: make([]float32, maskFrame), p: make([]float32, maskFrame/2)}
	sum := 0.0
	for i := range maskFrame {
		w := dsp.Hann(float64(i)+0.5, maskFrame)
		m.window = append(m.window, float32(w))
		sum += w * w
	}
	// A full-scale sine, of a mean square of 1/2, has maskLevel.
	m.unit = 2 * 2 / (sum * maskFrame) * math.Pow(10, maskLevel/10)
	for k := range maskFrame / 2 {
		b := int(bark(float64(k) * sound.Rate / maskFrame))
		if k == 0 || b >= maskBarks {
			b = -1
		}
		m.band = append(m.band, b)
	}
	return m
}

// levels are those of a channel from a sample on, in dB.
func (m *masker) levels(value func(i int) float64) (out [maskBarks]float64) {
	for i := range m.x {
		m.x[i] = float32(value(i))
	}
	m.fft.Do(m.p, m.x, m.window)
	for k, b := range m.band {
		if b >= 0 {
			out[b] += float64(m.p[k]) * m.unit
		}
	}
	for b := range out {
		out[b] = 10 * math.Log10(out[b]+1e-20)
	}
	return out
}

// hissHeard is the share of the frames, the first and last heardEnds of the track left
// out, in which what bad has more than clean is over the threshold in a channel and a band.
func hissHeard(clean, bad sound.Audio) float64 {
	m, n := newMasker(), clean.Len()
	over, frames := 0, 0
	for at := int(heardEnds * float64(n)); at+maskFrame <= n-int(heardEnds*float64(n)); at += maskFrame / 2 {
		frames++
		if m.over(clean.L[at:], bad.L[at:]) || m.over(clean.R[at:], bad.R[at:]) {
			over++
		}
	}
	return float64(over) / float64(max(1, frames))
}

func (m *masker) over(clean, bad []float64) bool {
	threshold := masked(m.levels(func(i int) float64 { return clean[i] }))
	fault := m.levels(func(i int) float64 { return bad[i] - clean[i] })
	for b := range fault {
		if fault[b] > threshold[b] {
			return true
		}
	}
	return false
}

// The figures of the model: a full-scale sine of 1 kHz plays at 96 dB and is at 8.5 Bark;
// noise is masked some 4 dB under noise of its own band at 8.5 Bark, and 25 dB less an
// octave and a half higher (-17 - 1.7 (17 - 0.15 * 80) = -25.5 from 80 dB).
func TestMaskingIsThatOfTheStandard(t *testing.T) {
	m := newMasker()
	level := m.levels(func(i int) float64 { return math.Sin(2 * math.Pi * 1000 * float64(i) / sound.Rate) })
	if math.Abs(level[8]-96) > 0.2 || math.Abs(bark(1000)-8.5) > 0.1 {
		t.Errorf("a full-scale sine has %.1f dB at %.2f Bark", level[8], bark(1000))
	}
	if q := quietThreshold(3300); q > -4.5 || q < -6 {
		t.Errorf("the threshold in quiet at 3.3 kHz is %.1f dB, Terhardt has -5", q)
	}
	var music [maskBarks]float64
	for b := range music {
		music[b] = -100
	}
	music[8] = 80
	got := masked(music)
	for b, want := range map[int]float64{8: 80 - 2.025 - 0.175*8.5, 9: 80 - 3.5 - 17, 10: 80 - 3.5 - 22, 7: 80 - 3.5 - 38} {
		if math.Abs(got[b]-want) > 0.3 {
			t.Errorf("band %d is masked up to %.1f dB, want %.1f", b, got[b], want)
		}
	}
}
