package transfer

import (
	"math"
	"math/cmplx"

	"dubgauge/detect/dsp"
	"dubgauge/detect/dsp/fourier"
)

const (
	// humSize is the length of a frame: 0.19 s at 44.1 kHz, which fits between two kicks;
	// its bins are 5.4 Hz apart.
	humSize = 128
	humHop  = humSize / 2
	// harmonics is how many lines of the mains are looked at.
	harmonics = 5
	// humBeside is how many bins from a line the music is measured that lies around it:
	// of a Hann window nothing of the line is left there. It is the mean of that bin and
	// the next, on both sides.
	humBeside = 3
	// humStretch is how many frames follow each other where a long track is thinned out,
	// a minute and a half or so, and humStretches how many of them are kept: of a track of
	// up to 25 minutes at 44.1 kHz all.
	humStretch, humStretches = 1 << 10, 16
	// humFloor is added to the power around a line: -100 dBFS, which is what the noise of
	// 16 bit has in a bin and more than digital silence has.
	humFloor = 1e-10
)

// mains are the frequencies of the public supply, in hertz.
var mains = [2]float64{50, 60}

// sides are the half sum and the half difference of the channels: bass is in the first,
// hum is in either.
const sides = 2

// tone is what a frame has at one line of the mains.
type tone struct {
	x      [sides]complex64 // amplitude of a sine at the line, its phase against the line's own
	around [sides]float32   // square of the amplitude that the music has around it
}

// humFrame is what is kept of a frame, by series and harmonic.
type humFrame [len(mains)][harmonics]tone

// humFrames are frames that follow each other.
type humFrames struct {
	all  *dsp.Thinned[humFrame]
	from int
	n    int
}

// at is frame i, from 0.
func (f humFrames) at(i int) *humFrame { return f.all.At(f.from + i) }

// runs are the runs of frames that follow each other, each from its first to before its
// second number.
func (f humFrames) runs() [][2]int {
	runs := f.all.Runs(f.from, f.from+f.n)
	for i := range runs {
		runs[i][0] -= f.from
		runs[i][1] -= f.from
	}
	return runs
}

// humMeter follows the lines of the mains through the decimated channels.
type humMeter struct {
	rate   float64
	window []float32
	fft    *fourier.Transform
	input  [2][]float32
	z      []complex64
	bin    [len(mains)][harmonics]int
	turn   [len(mains)][harmonics]complex128 // of the line over a hop, backwards
	phase  [len(mains)][harmonics]complex128
	frames *dsp.Thinned[humFrame]
}

func newHumMeter(rate float64, block int) *humMeter {
	m := &humMeter{rate: rate, window: hann(humSize), fft: fourier.New(humSize), z: make([]complex64, humSize),
		frames: dsp.NewThinned[humFrame](humStretch, humStretches)}
	for c := range m.input {
		m.input[c] = make([]float32, 0, humSize+block)
	}
	for s, hz := range mains {
		for h := range harmonics {
			line := hz * float64(h+1)
			bins := line / rate * humSize
			m.bin[s][h] = int(math.Round(bins))
			m.turn[s][h] = cmplx.Rect(1, -2*math.Pi*math.Mod(line*humHop/rate, 1))
			m.phase[s][h] = complex(1/hannAt(bins-math.Round(bins)), 0)
		}
	}
	return m
}

// hannAt is what a Hann window leaves of a sine so many bins from a bin's centre.
//
//	sin(pi d) / (pi d (1 - d^2))
func hannAt(d float64) float64 { return dsp.Sinc(d) / (1 - d*d) }

func (m *humMeter) write(left, right []float32) {
	m.input[0] = append(m.input[0], left...)
	m.input[1] = append(m.input[1], right...)
	at := 0
	for ; at+humSize <= len(m.input[0]); at += humHop {
		m.frame(m.input[0][at:at+humSize], m.input[1][at:at+humSize])
	}
	for c, x := range m.input {
		m.input[c] = x[:copy(x, x[at:])]
	}
}

func (m *humMeter) frame(left, right []float32) {
	for i, w := range m.window {
		a, b := left[i]*w/2, right[i]*w/2
		m.z[i] = complex(a+b, a-b)
	}
	m.fft.Do(m.z)
	var spectrum [sides][humSize / 2]complex64
	place := m.fft.Place()
	for k := 1; k < humSize/2; k++ {
		spectrum[0][k], spectrum[1][k] = pair(m.z, place, k)
	}
	var f humFrame
	for s := range m.bin {
		for h, k := range m.bin[s] {
			if k+humBeside+1 >= humSize/2 {
				continue
			}
			for c := range spectrum {
				x := &spectrum[c]
				f[s][h].x[c] = x[k] * complex64(m.phase[s][h])
				below, above := squared(x[k-humBeside])+squared(x[k-humBeside-1]), squared(x[k+humBeside])+squared(x[k+humBeside+1])
				f[s][h].around[c] = float32(math.Sqrt(float64(below)*float64(above)))/2 + humFloor
			}
			m.phase[s][h] *= m.turn[s][h]
		}
	}
	m.frames.Append(f)
}
