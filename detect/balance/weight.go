package balance

import (
	"dubgauge/detect/loudness"
	"dubgauge/detect/spectrum"
)

// weights is the power gain of the K-weighting at the centre of each band (ITU-R
// BS.1770-5 annex 1).
var weights = func() (w [spectrum.Bands]float64) {
	for b := range w {
		w[b] = loudness.Weight(spectrum.Exact(b))
	}
	return w
}()
