package library

import (
	"context"
	"errors"
	"io"

	"dubgauge/decode"
	"dubgauge/detect"
	"dubgauge/library/tags"
)

// readTags and analyze are what a measurement calls.
var (
	readTags = func(src *io.SectionReader, format string) (tags.Tags, error) { return tags.Tags{}, nil }
	analyze  = func(ctx context.Context, s decode.Stream, sizeBytes int64, progress func(seconds float64)) (detect.Measurement, error) {
		m := detect.Empty()
		info := s.Info()
		m.File.Format, m.File.Codec, m.File.SampleRateHz, m.File.Channels = info.Format, info.Codec, info.SampleRate, info.Channels
		m.File.SizeBytes = sizeBytes
		dst := make([][]float32, info.Channels)
		for c := range dst {
			dst[c] = make([]float32, 4096)
		}
		var frames int64
		for ctx.Err() == nil {
			n, err := s.Read(dst)
			frames += int64(n)
			progress(float64(frames) / float64(info.SampleRate))
			if errors.Is(err, io.EOF) {
				m.File.DurationS = detect.Value(float64(frames) / float64(info.SampleRate))
				return m, nil
			}
			if err != nil {
				return m, err
			}
		}
		return m, ctx.Err()
	}
)
