package key

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// minWorkingRate is the lowest rate in hertz that decimation may reach:
	// with content up to topHz = 3.5 kHz, what folds onto it lies above 7.5 kHz
	// and is cheap to filter out.
	minWorkingRate = 11000
	// stopbandDB is the attenuation of what would fold back. Percussion at 10
	// kHz is then 70 dB down, below the peaks that are looked at.
	stopbandDB = 70
)

// newHalver makes a halver for input at the given rate in hertz that keeps what lies
// below pass hertz clean.
func newHalver(rate, pass float64) *dsp.Halver[float64] {
	length := dsp.KaiserTaps(stopbandDB, (rate/2-2*pass)/rate)
	window := func(x float64) float64 { return dsp.Kaiser(x, dsp.KaiserBeta(stopbandDB)) }
	return dsp.NewHalver[float64](dsp.HalfBand(int(math.Ceil((length+1)/4)), window), chunk)
}

// decimator halves the rate until it lies between minWorkingRate and twice
// that; lower rates stay as they are.
type decimator struct {
	stages []*dsp.Halver[float64]
	bufs   [2][]float64
	rate   float64 // of the output, hertz
}

func newDecimator(rate float64) *decimator {
	d := &decimator{rate: rate}
	for d.rate/2 >= minWorkingRate {
		d.stages = append(d.stages, newHalver(d.rate, topHz))
		d.rate /= 2
	}
	for i := range d.bufs {
		d.bufs[i] = make([]float64, chunk)
	}
	return d
}

// silence brings d to where o is, with silence in place of what o was written.
func (d *decimator) silence(o *decimator) {
	for i, s := range d.stages {
		s.Silence(o.stages[i])
	}
}

// write decimates src, of chunk samples at most. What it returns is valid until
// the next call.
func (d *decimator) write(src []float64) []float64 {
	for i, s := range d.stages {
		src = s.Write(d.bufs[i%2], src)
	}
	return src
}
