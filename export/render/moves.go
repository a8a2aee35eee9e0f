package render

import (
	"context"

	"dubgauge/detect/advice"
	"dubgauge/detect/dsp"
	"dubgauge/detect/reason"
	"dubgauge/library"
)

// equaliser does the moves of an advice, all channels alike.
type equaliser struct {
	filters [][]*dsp.Equaliser // by channel
	out     [][]float32
	next    stage
}

// highest is the share of the rate above which no filter can lie.
const highest = 0.49

func newEqualiser(moves []advice.Move, rate, channels int, next stage) *equaliser {
	e := &equaliser{filters: make([][]*dsp.Equaliser, channels), out: make([][]float32, channels), next: next}
	for c := range e.filters {
		e.filters[c] = Filters(moves, rate)
	}
	return e
}

// Filters are those that do moves to one channel at a rate in hertz, in their order.
func Filters(moves []advice.Move, rate int) []*dsp.Equaliser {
	var all []*dsp.Equaliser
	for _, m := range moves {
		hz, dB := min(float64(m.Hz), highest*float64(rate)), float64(m.DB)
		f := dsp.NewBell(hz, dB, float64(m.Q), float64(rate))
		if m.Filter != reason.Bell {
			f = dsp.NewShelf(hz, dB, float64(rate), m.Filter == reason.HighShelf)
		}
		all = append(all, f)
	}
	return all
}

func (e *equaliser) Write(block [][]float32) {
	for c, x := range block {
		e.out[c] = append(e.out[c][:0], x...)
		for _, f := range e.filters[c] {
			f.Run(e.out[c])
		}
	}
	e.next.Write(e.out)
}

func (e *equaliser) End() { e.next.End() }

// hear measures the track behind the moves and plans its trim anew: they change its level
// and its peaks.
func (p *Plan) hear(ctx context.Context, t *library.Track, o Options, progress func(float64)) error {
	first := Plan{Moves: p.Moves}
	got, err := first.pass(ctx, t, nil, progress)
	if err != nil {
		return err
	}
	p.Wanted = p.Target - got.lufs
	if got.peak+p.Wanted > o.Ceiling && o.Limit {
		p.Limited, p.Gain = true, p.Wanted
		return nil
	}
	return p.turn(got.peak, got.sample)
}
