package standout

import (
	"dubgauge/detect"
	"dubgauge/detect/dsp"
)

// Bands gives the 10th, 50th and 90th percentile of a group in each third octave: where
// another track of its kind would lie lower once in ten times, and higher. They are in dB
// relative to each track's own level: every spectrum is shifted by minus its
// loudest-30-s loudness first, so that the shape is compared and not the level. spectra and levels go in step; a track without a level is left out.
// A band that no track has is None. Each result has as many bands as the longest
// spectrum.
func Bands(spectra []detect.Spectrum, levels []detect.Value) (p10, p50, p90 []detect.Value) {
	n := 0
	for _, s := range spectra {
		n = max(n, len(s.LoudestDB))
	}
	for b := range n {
		var x []float64
		for i, s := range spectra {
			if b < len(s.LoudestDB) && s.LoudestDB[b].Exists() && levels[i].Exists() {
				x = append(x, float64(s.LoudestDB[b]-levels[i]))
			}
		}
		x = sorted(x)
		p10 = append(p10, detect.Value(another(x, 0.1)))
		p50 = append(p50, detect.Value(dsp.Quantile(x, 0.5)))
		p90 = append(p90, detect.Value(another(x, 0.9)))
	}
	return p10, p50, p90
}

// another is the quantile of a sorted sample under which another track of its kind lies
// with probability p, whatever the distribution (type 6 of Hyndman and Fan, The American
// Statistician 50, 1996; Weibull's plotting positions): with few tracks the lowest or the
// highest of them. NaN of none.
//
//	h = (n+1)p;  Q = s[h-1], linear between the order statistics
func another(sorted []float64, p float64) float64 {
	if len(sorted) < 2 {
		return dsp.Quantile(sorted, p)
	}
	n := float64(len(sorted))
	return dsp.Quantile(sorted, min(1, max(0, ((n+1)*p-1)/(n-1))))
}
