package compare

import (
	"context"
	"math"

	"dubgauge/decode"
	"dubgauge/detect/dsp/fourier"
)

const (
	// windowLength in seconds of the audio that is laid on each other.
	windowLength = 0.75
	// windowsEach is how many are taken for each candidate, spread over what both play.
	windowsEach = 12
	// search is by how many seconds the outline may be off: two frames.
	search = 0.02
)

// piece is a part of a track, kept from sample first on.
type piece struct {
	first int64
	x     [][]float32 // a channel each
	got   int
}

// add takes from a block that begins at sample at what belongs to the piece.
func (p *piece) add(block [][]float32, at int64) {
	from, to := max(p.first, at), min(p.first+int64(len(p.x[0])), at+int64(len(block[0])))
	if from >= to {
		return
	}
	for c := range p.x {
		copy(p.x[c][from-p.first:], block[c][from-at:to-at])
	}
	p.got += int(to - from)
}

func (p *piece) whole() bool { return len(p.x) > 0 && p.got == len(p.x[0]) }

// pair is a window of A and where it should lie in B.
type pair struct{ a, b piece }

// candidate is a place of B, with the windows that try it.
type candidate struct {
	offset int64 // samples of A's rate
	pairs  []*pair
}

// plan is what is to be read of both tracks.
type plan struct {
	rateA, rateB int
	candidates   []candidate

	fft    *fourier.Real // of length samples
	length int
}

// placeWindows chooses the windows: in each of windowsEach equal parts of what both play,
// where the two are loudest together.
func placeWindows(a, b *outline, lags []int) *plan {
	p := &plan{rateA: a.rate, rateB: b.rate}
	length := int(windowLength*frameRate) + 1
	margin := int(math.Ceil(search*frameRate)) + 1
	for _, lag := range lags {
		c := candidate{offset: int64(math.Round(float64(lag) * float64(a.rate) / frameRate))}
		from, to := max(0, margin-lag), min(len(a.frames)-length, len(b.frames)-length-margin-lag)
		for i := range windowsEach {
			lo, hi := from+(to-from)*i/windowsEach, from+(to-from)*(i+1)/windowsEach
			if at, ok := loudestFrame(a, b, lo, hi, lag, length); ok {
				c.pairs = append(c.pairs, p.pair(at, c.offset))
			}
		}
		p.candidates = append(p.candidates, c)
	}
	return p
}

// loudestFrame is where in [lo,hi) of A a window of both sounds most.
func loudestFrame(a, b *outline, lo, hi, lag, length int) (at int, ok bool) {
	most := 2.0 * bands * (floor + 20)
	for f := lo; f < hi; f += length / 4 {
		sum := 0.0
		for _, k := range []int{0, length / 4, length / 2, 3 * length / 4} {
			for band := range bands {
				sum += float64(a.frames[f+k][band]+b.frames[f+k+lag][band]) / 4
			}
		}
		if sum > most {
			most, at, ok = sum, f, true
		}
	}
	return at, ok
}

// pair is empty windows for frame f of A.
func (p *plan) pair(f int, offset int64) *pair {
	first := int64(f) * int64(p.rateA) / frameRate
	start := (float64(first+offset)/float64(p.rateA) - search) * float64(p.rateB)
	length := (windowLength + 2*search) * float64(p.rateB)
	return &pair{
		a: piece{first: first, x: [][]float32{make([]float32, int(windowLength*float64(p.rateA)))}},
		b: piece{first: int64(math.Floor(start)) - taps/2, x: [][]float32{make([]float32, int(length)+2+taps)}},
	}
}

// read fills the windows.
func (p *plan) read(ctx context.Context, a, b Open) error {
	if err := p.fill(ctx, a, func(w *pair) *piece { return &w.a }); err != nil {
		return err
	}
	return p.fill(ctx, b, func(w *pair) *piece { return &w.b })
}

func (p *plan) fill(ctx context.Context, open Open, side func(*pair) *piece) error {
	var all []*piece
	last := int64(0)
	for _, c := range p.candidates {
		for _, w := range c.pairs {
			s := side(w)
			all = append(all, s)
			last = max(last, s.first+int64(len(s.x[0])))
		}
	}
	at := int64(0)
	_, err := read(ctx, open, func(info decode.Info, block [][]float32) bool {
		for _, s := range all {
			for len(s.x) < info.Channels {
				s.x = append(s.x, make([]float32, len(s.x[0])))
			}
			s.add(block, at)
		}
		at += int64(len(block[0]))
		return at < last
	})
	return err
}
