package transfer

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

const (
	// lowSize is the length of a frame of the low end: 0.74 s at 44.1 kHz, so that two
	// lines 4 Hz apart are told from each other and a frame fits into a bar's rest.
	lowSize = 512
	lowHop  = lowSize / 2
	// lowLeast and lowMost bound the rate of the decimated signal, in hertz: 8 to
	// 192 kHz give 500 to 1000. Other rates no music has.
	lowLeast, lowMost = 490, 1100
	// rumbleFrom and rumbleTo bound the rumble, in hertz: below lies the resonance of
	// an arm and DC, above begins music (the lowest string of a five-string bass is at
	// 31 Hz).
	rumbleFrom, rumbleTo = 8.0, 28.0
	// bassTo is the upper edge of the low end, in hertz.
	bassTo = 150.0
)

// lowFrame is what is kept of a frame.
type lowFrame struct {
	rumble [sides]float32 // mean squares of the rumble in the half sum and half difference
	bass   float32        // of everything from rumbleTo to bassTo, of both
}

// low transforms the decimated channels, both in one complex transform.
type low struct {
	rate     float64
	halvers  [2][3]*halver
	scratch  [2][3][]float32
	half     [2][]float32 // what was written last, at four times the rate
	input    [2][]float32
	window   []float32
	fft      *fourier.Transform
	z        []complex64
	frames   []lowFrame
	hum      *humMeter
	waves    waves
	from, to int // bins of the rumble
	end      int // of the bass
}

func newLow(partRate float64) *low {
	l := &low{rate: partRate / 8, fft: fourier.New(lowSize), z: make([]complex64, lowSize)}
	if l.rate < lowLeast || l.rate > lowMost {
		return nil
	}
	const block = chunkCells * partsPerCell
	for c := range l.halvers {
		for i := range l.halvers[c] {
			l.halvers[c][i] = newHalver(block)
		}
		for i := range l.scratch[c] {
			l.scratch[c][i] = make([]float32, block)
		}
		l.input[c] = make([]float32, 0, lowSize+block)
	}
	l.window = hann(lowSize)
	binHz := l.rate / lowSize
	l.hum = newHumMeter(l.rate, block)
	l.waves = newWaves(l.rate, block)
	l.from, l.to, l.end = int(math.Ceil(rumbleFrom/binHz)), int(rumbleTo/binHz), int(bassTo/binHz)
	return l
}

// hann is a window under which a sine of amplitude a has a bin of magnitude a at its
// frequency.
func hann(n int) []float32 {
	w := make([]float32, n)
	for i := range w {
		w[i] = float32(2 * (1 - math.Cos(2*math.Pi*(float64(i)+0.5)/float64(n))) / float64(n))
	}
	return w
}

func (l *low) write(left, right []float32) {
	var halved [2][]float32
	for c, x := range [2][]float32{left, right} {
		for i, h := range l.halvers[c] {
			x = h.halve(l.scratch[c][i], x)
			if i == 0 {
				l.half[c] = x
			}
		}
		halved[c] = x
		l.input[c] = append(l.input[c], x...)
	}
	l.hum.write(halved[0], halved[1])
	l.waves.write(halved[0], halved[1])
	for len(l.input[0]) >= lowSize {
		l.frame()
		for c, x := range l.input {
			l.input[c] = x[:copy(x, x[lowHop:])]
		}
	}
}

// pair gives the transforms of two real signals l and r at bin k from that of l + i r.
func pair(z []complex64, place []int32, k int) (l, r complex64) {
	a, b := z[place[k]], z[place[(len(z)-k)%len(z)]]
	b = complex(real(b), -imag(b))
	s, d := a+b, a-b
	return complex(real(s)/2, imag(s)/2), complex(imag(d)/2, -real(d)/2)
}

func squared(v complex64) float32 { return real(v)*real(v) + imag(v)*imag(v) }

// A line under the Hann window has 1.5 times the square of its amplitude in its bins,
// and half of that square as its mean square; noise has 1.5 times a bin's share.
const perSine = 0.5 / 1.5

func (l *low) frame() {
	for i, w := range l.window {
		l.z[i] = complex(w*l.input[0][i], w*l.input[1][i])
	}
	l.fft.Do(l.z)
	var f lowFrame
	place := l.fft.Place()
	for k := l.from; k <= l.end; k++ {
		a, b := pair(l.z, place, k)
		mid, side := squared(a+b)/4*perSine*2, squared(a-b)/4*perSine*2
		switch {
		case k <= l.to:
			f.rumble[0] += mid
			f.rumble[1] += side
		default:
			f.bass += mid + side
		}
	}
	l.frames = append(l.frames, f)
}
