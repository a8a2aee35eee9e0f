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
