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

// Opener opens it anew each time, for what reads a track more than once.
func (t *Track) Opener(ctx context.Context) func() (decode.Stream, error) {
	return func() (decode.Stream, error) { return t.Audio(ctx) }
}
