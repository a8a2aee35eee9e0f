package render

import (
	"context"
	"fmt"
	"io"

	"dubgauge/detect/limit"
	"dubgauge/detect/loudness"
	"dubgauge/detect/truepeak"
	"dubgauge/library"
)

// blockSamples is how many samples a channel are decoded at a time.
const blockSamples = 4096

// outcome is what a pass over the track gave.
type outcome struct {
	rate, channels int
	samples        int64   // a channel
	lufs           float64 // loudest 30 s as they are played
	peak           float64 // dBTP
	sample         float64 // dBFS, the highest
	reduction      limit.Reduction
}

// pass decodes t, does to it what p says, hands it to sink, which may be nil, and measures
// it. progress, which may be nil, is called with the seconds done.
func (p *Plan) pass(ctx context.Context, t *library.Track, sink func(block [][]float32) error, progress func(seconds float64)) (o outcome, err error) {
	s, err := t.Audio(ctx)
	if err != nil {
		return o, err
	}
	defer s.Close()
	info := s.Info()
	if info.SampleRate != t.Measurement.File.SampleRateHz || info.Channels != t.Measurement.File.Channels {
		return o, errChanged
	}
	o.rate, o.channels = info.SampleRate, info.Channels
	loud := loudness.New(o.rate, loudness.Weights(o.channels, info.ChannelMask))
	peak := truepeak.New(o.rate, o.channels)
	var sinkErr error
	chain, limiter := p.chain(o.rate, o.channels, func(block [][]float32) {
		loud.Write(block)
		peak.Write(block)
		if sink != nil && sinkErr == nil {
			sinkErr = sink(block)
		}
	})
	o.samples, err = read(ctx, s, o.channels, func(block [][]float32, done int64) error {
		chain.Write(block)
		if progress != nil {
			progress(float64(done) / float64(o.rate))
		}
		return sinkErr
	})
	if err != nil {
		return o, err
	}
	chain.End()
	if sinkErr != nil {
		return o, sinkErr
	}
	o.lufs = loud.Result().Loudest30 + float64(t.PlayedGainLU())
	peaks := peak.Result()
	o.peak, o.sample = peaks.TruePeak, peaks.SamplePeak
	if limiter != nil {
		o.reduction = limiter.Reduction()
	}
	return o, nil
}

// reader is the part of a decoder's stream that is used here.
type reader interface {
	Read(dst [][]float32) (int, error)
}

// read hands on blocks until the end of s, with the samples a channel so far.
func read(ctx context.Context, s reader, channels int, use func(block [][]float32, done int64) error) (samples int64, err error) {
	buf, block := make([][]float32, channels), make([][]float32, channels)
	for c := range buf {
		buf[c] = make([]float32, blockSamples)
	}
	for {
		if err := ctx.Err(); err != nil {
			return samples, err
		}
		n, err := s.Read(buf)
		if n > 0 {
			for c := range block {
				block[c] = buf[c][:n]
			}
			samples += int64(n)
			if err := use(block, samples); err != nil {
				return samples, err
			}
		}
		if err == io.EOF {
			return samples, nil
		}
		if err != nil {
			return samples, fmt.Errorf("reading it: %w", err)
		}
	}
}
