package render

import (
	"context"
	"math"

	"dubgauge/library"
)

const (
	// reachedLU is how near the level has to come: a fifth of what a copy may be off.
	reachedLU = 0.01
	// mostPasses over a track that solving takes. Each brings the error down by about ten.
	mostPasses = 8
	// leastSlope is the least that the level is taken to rise by with a dB of gain, and
	// mostStep the most in dB that a try goes beyond the last.
	leastSlope = 0.1
	mostStep   = 6.0
)

// solve finds the gain before the limiter at which the loudest 30 s reach the target: the
// more is limited, the less a dB gives. By secants:
//
//	gain' = gain + (target - level) / slope,  slope from the last two tries
func (p *Plan) solve(ctx context.Context, t *library.Track, progress func(float64)) error {
	slope := 0.7 // before there are two tries
	var lastGain, lastLevel float64
	for try := range mostPasses {
		o, err := p.pass(ctx, t, nil, progress)
		if err != nil {
			return err
		}
		miss := p.Target - o.lufs
		if math.Abs(miss) <= reachedLU {
			return nil
		}
		if try > 0 && p.Gain != lastGain {
			slope = (o.lufs - lastLevel) / (p.Gain - lastGain)
		}
		lastGain, lastLevel = p.Gain, o.lufs
		p.Gain += max(-mostStep, min(mostStep, miss/max(leastSlope, min(1, slope))))
	}
	return &Refusal{"no limiter brings it to its references: the mix has to"}
}
