package continuity

import "math"

const (
	// blockSeconds is the grain of levels and balance over time.
	blockSeconds = 0.25
	// maxBlocks bounds their number; with more, two become one, and a track over 68
	// minutes is seen half as finely.
	maxBlocks = 1 << 14
	// lowCorner is the upper edge of the low end, in hertz: kick and bass, which club
	// music has in the middle (common practice, no source).
	lowCorner = 120.0
)

// block holds mean powers of a stretch of blockSeconds: of both channels and their
// product, in the whole band and below lowCorner, and of the differences from sample to
// sample, which weigh the top; and the mean of the samples.
type block struct {
	power, low, slope [2]float32
	cross, lowCross   float32
	mean              [2]float32
}

// swinging is the block without its mean: a constant is no sound. The low-pass lets it
// through whole.
func (b block) swinging() block {
	for c, m := range b.mean {
		b.power[c] = max(0, b.power[c]-m*m)
		b.low[c] = max(0, b.low[c]-m*m)
	}
	product := b.mean[0] * b.mean[1]
	b.cross -= product
	b.lowCross -= product
	return b
}

// blocks gathers them.
type blocks struct {
	perBlock int // cells
	seconds  float64
	low      [2]lowPass
	open     block
	cells    int
	samples  int
	list     []block
}

func newBlocks(channels int, rate float64, cell int) blocks {
	cellRate := rate / float64(cell)
	b := blocks{perBlock: max(1, int(math.Round(blockSeconds*cellRate)))}
	b.seconds = float64(b.perBlock) / cellRate
	for c := range channels {
		b.low[c] = newLowPass(lowCorner, cellRate)
	}
	return b
}

// cell takes the sums of n samples.
func (b *blocks) cell(cells *[2]cell, cross float32, n int) {
	var y [2]float32
	for c := range y {
		b.open.power[c] += cells[c].energy
		b.open.slope[c] += cells[c].slope
		b.open.mean[c] += cells[c].sum
		y[c] = b.low[c].next(cells[c].sum / float32(n))
		b.open.low[c] += y[c] * y[c]
	}
	b.open.cross += cross
	b.open.lowCross += y[0] * y[1]
	b.samples += n
	if b.cells++; b.cells == b.perBlock {
		b.end()
	}
}

func (b *blocks) end() {
	if b.cells == 0 {
		return
	}
	n, k := float32(b.samples), float32(b.cells)
	for c := range b.open.power {
		b.open.power[c] /= n
		b.open.slope[c] /= n
		b.open.mean[c] /= n
		b.open.low[c] /= k
	}
	b.open.cross /= n
	b.open.lowCross /= k
	b.list = append(b.list, b.open)
	b.open, b.cells, b.samples = block{}, 0, 0
	if len(b.list) == maxBlocks {
		b.halve()
	}
}

// halve makes one block of two.
func (b *blocks) halve() {
	for i := range len(b.list) / 2 {
		x, y := &b.list[2*i], &b.list[2*i+1]
		b.list[i] = block{
			cross: (x.cross + y.cross) / 2, lowCross: (x.lowCross + y.lowCross) / 2,
			mean:  [2]float32{(x.mean[0] + y.mean[0]) / 2, (x.mean[1] + y.mean[1]) / 2},
			power: [2]float32{(x.power[0] + y.power[0]) / 2, (x.power[1] + y.power[1]) / 2},
			low:   [2]float32{(x.low[0] + y.low[0]) / 2, (x.low[1] + y.low[1]) / 2},
			slope: [2]float32{(x.slope[0] + y.slope[0]) / 2, (x.slope[1] + y.slope[1]) / 2},
		}
	}
	b.list = b.list[:len(b.list)/2]
	b.perBlock *= 2
	b.seconds *= 2
}

// lowPass is a Butterworth low-pass of second order in transposed direct form II,
// from the bilinear transform:
//
//	K = tan(pi f/fs); a0 = 1 + sqrt(2) K + K^2
//	b = K^2/a0 (1, 2, 1); a1 = 2 (K^2-1)/a0; a2 = (1 - sqrt(2) K + K^2)/a0
type lowPass struct{ b, a1, a2, z1, z2 float32 }

func newLowPass(corner, rate float64) lowPass {
	k := math.Tan(math.Pi * min(corner/rate, 0.49))
	a0 := 1 + math.Sqrt2*k + k*k
	return lowPass{b: float32(k * k / a0), a1: float32(2 * (k*k - 1) / a0), a2: float32((1 - math.Sqrt2*k + k*k) / a0)}
}

func (p *lowPass) next(x float32) float32 {
	y := p.b*x + p.z1
	p.z1 = 2*p.b*x - p.a1*y + p.z2
	p.z2 = p.b*x - p.a2*y
	return y
}
