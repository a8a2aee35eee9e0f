// Package crest says how far the peaks of music stand over its loudness, band by band: what
// a limiter or a compressor has done to it already. Peaks are true peaks (ITU-R BS.1770-5
// annex 2), loudness is that of the loudest 30 s of the band (BS.1770-5), the ratio is in LU.
//
// Limits: K-weighting counts little below 60 Hz, so that the ratio of the low band is a few LU larger than
// by plain power. The band edges are ours.
package crest

import (
	"slices"

	"dubgauge/detect/dsp"
	"dubgauge/detect/loudness"
	"dubgauge/detect/truepeak"
)

// Edges between the bands in hertz: below lie kick and bass, above hats and air.
const (
	LowHz  = 150.0
	HighHz = 2000.0
)

// Ratios are peak to loudness in each band, in LU; NaN where a band is silent.
type Ratios struct{ Low, Mid, High float64 }

// Of measures some audio. The samples are left as they are.
func Of(rate int, channels [][]float32) Ratios {
	return Ratios{
		Low:  ratio(rate, channels, corner{LowHz, false}),
		Mid:  ratio(rate, channels, corner{LowHz, true}, corner{HighHz, false}),
		High: ratio(rate, channels, corner{HighHz, true}),
	}
}

type corner struct {
	hz   float64
	high bool
}

// ratio is that of what the filters leave.
func ratio(rate int, channels [][]float32, corners ...corner) float64 {
	band := make([][]float32, len(channels))
	for c, x := range channels {
		band[c] = slices.Clone(x)
		for _, k := range corners {
			dsp.NewPass(k.hz, float64(rate), k.high).Run(band[c])
		}
	}
	peak, loud := truepeak.New(rate, len(band)), loudness.New(rate, loudness.Weights(len(band), 0))
	peak.Write(band)
	loud.Write(band)
	return peak.Result().TruePeak - loud.Result().Loudest30
}
