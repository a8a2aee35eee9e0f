package live

import (
	"context"
	"errors"
	"math"

	"dubgauge/detect/advice"
	"dubgauge/detect/dsp"
	"dubgauge/detect/loudness"
	"dubgauge/detect/reason"
	"dubgauge/export/page"
	"dubgauge/export/render"
	"dubgauge/library"
)

// errNoMoves: there is nothing to hear.
var errNoMoves = errors.New("the advice has no moves for this track, so there is nothing to hear with them")

// settleTime in seconds is how much before a part its moves are done to, so that the filters
// have settled where it begins: those of a low shelf at 30 Hz have died away by 100 dB.
const settleTime = 0.5

// movesOf are the moves that the page advises for t.
func (s *Server) movesOf(ctx context.Context, t *library.Track) ([]advice.Move, error) {
	if len(t.Members) == 0 || t.Reference.Basis == reason.BasisFixed || !t.TakesPart() {
		return nil, nil
	}
	group, err := s.store.Spectra(ctx, t.Members)
	if err != nil {
		return nil, err
	}
	return t.Advice(group).Moves, nil
}

// movedHeadroom is headroom with room for what the moves add.
func movedHeadroom(t *library.Track, moves []advice.Move) float64 {
	up := 0.0
	for i := range moves {
		up += max(0, float64(moves[i].DB))
	}
	return page.Headroom(t) + math.Ceil(up)
}

// moved does moves to what passes, as a copy with them has it (package render), and holds the
// loudness before against that behind.
type moved struct {
	filters       [][]*dsp.Equaliser // by channel
	before, after *loudness.Meter
	view          [][]float32
}

func newMoved(moves []advice.Move, rate, channels int) *moved {
	m := &moved{filters: make([][]*dsp.Equaliser, channels), view: make([][]float32, channels)}
	for c := range m.filters {
		m.filters[c] = render.Filters(moves, rate)
	}
	weights := loudness.Weights(channels, 0)
	m.before, m.after = loudness.New(rate, weights), loudness.New(rate, weights)
	return m
}

// run filters n samples of a block in place; the first skip of them are not listened to.
func (m *moved) run(block [][]float32, n, skip int) {
	m.before.Write(m.part(block, skip, n))
	for c, x := range block {
		for _, f := range m.filters[c] {
			f.Run(x[:n])
		}
	}
	m.after.Write(m.part(block, skip, n))
}

func (m *moved) part(block [][]float32, from, to int) [][]float32 {
	for c := range m.view {
		m.view[c] = block[c][from:to]
	}
	return m.view
}

// change is by how many LU what was heard is louder behind the moves; 0 of silence.
func (m *moved) change() float64 {
	d := m.after.Result().Loudest30 - m.before.Result().Loudest30
	if math.IsNaN(d) || math.IsInf(d, 0) {
		return 0
	}
	return d
}
