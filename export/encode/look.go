package encode

import (
	"context"
	"fmt"

	"dubgauge/detect"
	"dubgauge/detect/coded"
	"dubgauge/detect/crest"
	"dubgauge/library"
)

// Look decodes the loudest part of t and says how its peaks stand over its loudness by band, and what
// each encoder that is at hand makes of them. The error is that of reading the track, or of ctx.
func Look(ctx context.Context, t *library.Track) (coded.Look, error) {
	var l coded.Look
	p, err := Loudest(ctx, t)
	if err != nil {
		return l, fmt.Errorf("cannot read %s: %w", t.DiskPath(), library.Reason(err))
	}
	r := crest.Of(p.Rate, p.Channels)
	l.Ratios.Low, l.Ratios.Mid, l.Ratios.High = detect.Value(r.Low), detect.Value(r.Mid), detect.Value(r.High)
	before := detect.Value(p.TruePeak())
	for _, e := range coded.All {
		after, err := p.Encoded(ctx, e)
		if ctx.Err() != nil {
			return l, ctx.Err()
		}
		problem := ""
		if err != nil {
			problem = err.Error()
		}
		l.Copies = append(l.Copies, coded.NewCopy(e, before, detect.Value(after), coded.TopOf(&t.Spectrum), problem))
	}
	return l, nil
}
