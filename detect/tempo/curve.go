package tempo

import "dubgauge/detect/dsp"

// maxValues bounds the onset curve: 51 minutes at 172 values a second. Then
// neighbours are added and the curve goes on at half the rate, so that a
// recording of any length takes no more than 3 parts of 4 bytes each, 6.3 MB.
const maxValues = 1 << 19

// curve is the onset curve of a track in three parts.
type curve struct {
	step  float64 // seconds between values
	start float64 // time of the first value in the track, seconds
	part  [parts]dsp.Long[float32]
	fold  int // values added into one, less one; 0 at first
	have  int
	sum   [parts]float32
}

func (c *curve) append(v [parts]float32) {
	if c.have < c.fold {
		for p := range v {
			c.sum[p] += v[p]
		}
		c.have++
		return
	}
	for p := range v {
		c.part[p].Append(c.sum[p] + v[p])
	}
	c.sum, c.have = [parts]float32{}, 0
	if c.part[0].Len() >= maxValues {
		c.halve()
	}
}

// halve adds neighbours. Their middle lies half a step later.
func (c *curve) halve() {
	for p := range c.part {
		x := &c.part[p]
		half := x.Len() / 2
		for i := range half {
			*x.At(i) = *x.At(2 * i) + *x.At(2*i + 1)
		}
		x.Cut(half)
	}
	c.start += c.step / 2
	c.step *= 2
	c.fold = 2*c.fold + 1
}
