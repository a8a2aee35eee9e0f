package transfer

import (
	"math"

	"dubgauge/detect/dsp"
)

const (
	// beginAfter and beginBefore are the cells whose energies are compared for a beginning,
	// 3 and 6 ms; beginLeast the least ratio of them that is kept, beginPlain that of a
	// beginning: 3 and 6 dB.
	beginAfter, beginBefore = 4, 8
	beginLeast, beginPlain  = 2.0, 4.0
	// beginFloor is added to both, -60 dB of full scale in a cell.
	beginFloor = 1e-6
	// beginReach is how far to either side, in cells, a beginning must be the greatest, and
	// beginSpan over how many its place is the mean of: 29 and 3 ms.
	beginReach, beginSpan = 40, 4
	// maxBegins bounds the list: half an hour of dense music.
	maxBegins = 1 << 18
)

// begin is a cell in which the energy rises, by so many dB.
type begin struct {
	cell int32
	rise float32
}

// begins gathers them.
type begins struct {
	ring    [16]float32 // a power of two over beginBefore + beginAfter
	at      int32
	between float32 // sum of beginBefore cells
	after   float32 // sum of beginAfter cells
	found   dsp.Long[begin]
}

func (b *begins) write(left, right []cell) {
	const mask = int32(len(b.ring) - 1)
	for i := range left {
		e := left[i].energy + right[i].energy
		b.ring[b.at&mask] = e
		// Sums that are carried on would gather what rounding leaves.
		if b.at&mask == 0 {
			b.after, b.between = 0, 0
			for d := range int32(beginAfter) {
				b.after += b.ring[(b.at-d)&mask]
			}
			for d := range int32(beginBefore) {
				b.between += b.ring[(b.at-beginAfter-d)&mask]
			}
		} else {
			middle := b.ring[(b.at-beginAfter)&mask]
			b.after += e - middle
			b.between += middle - b.ring[(b.at-beginAfter-beginBefore)&mask]
		}
		after, before := b.after/beginAfter+beginFloor, b.between/beginBefore+beginFloor
		if after >= beginLeast*before && b.found.Len() < maxBegins {
			b.found.Append(begin{b.at - beginAfter + 1, float32(10 * math.Log10(float64(after/before)))})
		}
		b.at++
	}
}

// places are the times, in cells, at which something begins: where the rise is the greatest
// around, the mean of what rises by half as much.
func (b *begins) places() []float64 {
	var out []float64
	plain := float32(10 * math.Log10(beginPlain))
	for i := range b.found.Len() {
		c := b.found.At(i)
		if c.rise < plain || !b.greatest(i) {
			continue
		}
		sum, weight := 0.0, 0.0
		for j := max(0, i-beginSpan); j <= min(b.found.Len()-1, i+beginSpan); j++ {
			f := b.found.At(j)
			if d := f.cell - c.cell; d >= -beginSpan && d <= beginSpan {
				w := math.Max(0, float64(f.rise-c.rise/2))
				sum += w * float64(d)
				weight += w
			}
		}
		out = append(out, float64(c.cell)+sum/weight)
	}
	return out
}

// greatest tells whether none around rises by more; of equals the first counts.
func (b *begins) greatest(i int) bool {
	c := b.found.At(i)
	for j := i - 1; j >= 0 && c.cell-b.found.At(j).cell <= beginReach; j-- {
		if b.found.At(j).rise >= c.rise {
			return false
		}
	}
	for j := i + 1; j < b.found.Len() && b.found.At(j).cell-c.cell <= beginReach; j++ {
		if b.found.At(j).rise > c.rise {
			return false
		}
	}
	return true
}
