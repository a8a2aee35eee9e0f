package transfer

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

const (
	// wavesMost bounds what is remembered of the waveform of the low end, in seconds: of a
	// longer track the beginning tells whether it repeats.
	wavesMost = 600.0
	// repeatFrom and repeatTo bound the distances at which a repeat is looked for, in seconds:
	// from two beats of the slowest music to eight bars of 85 BPM.
	repeatFrom, repeatTo = 1.2, 40.0
)

// waves is the waveform of the low end in the half sum and the half difference of the
// channels, at an eighth of the rate that frames are made at: 86 Hz at 44.1 kHz.
type waves struct {
	rate    float64
	halvers [sides][3]*halver
	scratch [sides][3][]float32
	x       [sides][]float32
}

func newWaves(rate float64, block int) waves {
	w := waves{rate: rate / 8}
	for c := range w.halvers {
		for i := range w.halvers[c] {
			w.halvers[c][i] = newHalver(block)
			w.scratch[c][i] = make([]float32, 0, block)
		}
	}
	return w
}

// write takes the next of both channels, decimated.
func (w *waves) write(left, right []float32) {
	if float64(len(w.x[0])) > wavesMost*w.rate {
		return
	}
	for c := range w.x {
		x := w.scratch[c][0][:len(left)]
		for i, l := range left {
			x[i] = (l + right[i]) / 2
			if c == 1 {
				x[i] -= right[i]
			}
		}
		for i, h := range w.halvers[c] {
			x = h.halve(w.scratch[c][min(i+1, 2)], x)
		}
		w.x[c] = append(w.x[c], x...)
	}
}

// repeats is how well the rumble of a side repeats at the best distance: 1 where it does
// exactly, near 0 of noise. It is the autocorrelation of what lies between rumbleFrom and
// rumbleTo, for samples n and distances d
//
//	max over d of sum x[i] x[i+d] / sum x[i]^2  n / (n - d)
func (w *waves) repeats(side int) (best float64) {
	from, to := trimmed(len(w.x[side]), 1/w.rate)
	x := w.x[side][from:to]
	if len(x) < 2 {
		return 0
	}
	size := 1 << int(math.Ceil(math.Log2(float64(2*len(x)))))
	fft := fourier.New(size)
	z := make([]complex64, size)
	for i, v := range x {
		z[i] = complex(v, 0)
	}
	fft.Do(z)
	power := make([]complex64, size)
	place, bin := fft.Place(), w.rate/float64(size)
	for k := int(rumbleFrom/bin) + 1; k < min(int(rumbleTo/bin), size/2); k++ {
		power[k] = complex(squared(z[place[k]]), 0)
		power[size-k] = power[k]
	}
	fft.Do(power)
	n := float64(len(x))
	for d := int(repeatFrom * w.rate); d < min(len(x)/2, int(repeatTo*w.rate)); d++ {
		best = max(best, float64(real(power[place[d]]))/(float64(real(power[place[0]]))+1e-30)*n/(n-float64(d)))
	}
	return best
}
