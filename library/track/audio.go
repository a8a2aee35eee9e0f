package track

import (
	"context"

	"dubgauge/decode"
)

// Audio opens the track's file for listening; read-only, like all else. Its errors
// are those of decode.Open.
func (t *Track) Audio(ctx context.Context) (decode.Stream, error) {
	return decode.Open(ctx, t.DiskPath())
}

// AudioAt is Audio from a time in seconds on.
func (t *Track) AudioAt(ctx context.Context, seconds float64) (decode.Stream, error) {
	s, err := t.Audio(ctx)
	if err != nil {
		return nil, err
	}
	return from(s, seconds)
}

// from goes to the sample nearest to a time in a stream, which it closes where that fails.
func from(s decode.Stream, seconds float64) (decode.Stream, error) {
	if err := decode.SeekTo(s, int64(seconds*float64(s.Info().SampleRate)+0.5)); err != nil {
		s.Close()
		return nil, err
	}
	return s, nil
}

// Opener opens it anew each time, for what reads a track more than once.
func (t *Track) Opener(ctx context.Context) func() (decode.Stream, error) {
	return func() (decode.Stream, error) { return t.Audio(ctx) }
}
