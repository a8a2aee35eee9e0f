package mp3

import "math"

// converter brings the granules of a stream to another rate and channel count. It
// serves files that were joined from several of different formats, so that
// nothing of them is lost and times stay right.
type converter struct {
	channels int
	same     bool // the rates are the same
	up, down int  // output rate / input rate in lowest terms
	phase    int  // of the next output sample, in 1/up of an input sample
	taps     int
	filter   []float32    // up rows of taps values
	history  [2][]float32 // input not yet done with; the next output starts at 0
	out      [2][]float32
}

const (
	// sincZeros is the number of zero crossings of the interpolating sinc on each side.
	// With the window below the stop band is under -80 dB.
	sincZeros = 24
	// kaiserBeta shapes the Kaiser window of the sinc for 80 dB (Kaiser and Schafer,
	// IEEE Trans. ASSP 28, 1980: 0.1102 (80 - 8.7)).
	kaiserBeta = 7.86
	// passBand is the cut-off as a part of half the lower of the rates: the
	// transition ends there.
	passBand = 0.94
)

func newConverter(from, to, channels int) *converter {
	c := &converter{channels: channels, same: from == to}
	d := gcd(from, to)
	c.up, c.down = to/d, from/d
	cutoff := passBand * min(1, float64(to)/float64(from)) // 1: half the input rate
	half := int(math.Ceil(sincZeros / cutoff))
	c.taps = 2 * half
	c.makeFilter(cutoff, half)
	longest := granuleSamples*c.up/c.down + 2
	for ch := range c.out {
		c.history[ch] = make([]float32, half-1, granuleSamples+2*c.taps)
		c.out[ch] = make([]float32, 0, longest)
	}
	return c
}

// makeFilter tabulates, for the output sample p/up after input sample 0,
//
//	h(t) = cutoff sinc(cutoff t) kaiser(t / half),   t = i - half + 1 - p/up
func (c *converter) makeFilter(cutoff float64, half int) {
	c.filter = make([]float32, c.up*c.taps)
	for p := range c.up {
		row := c.filter[p*c.taps : (p+1)*c.taps]
		sum := 0.0
		var h [2048]float64
		for i := range row {
			t := float64(i-half+1) - float64(p)/float64(c.up)
			h[i] = cutoff * sinc(cutoff*t) * kaiser(t/float64(half))
			sum += h[i]
		}
		for i := range row {
			row[i] = float32(h[i] / sum) // exact at 0 Hz in every phase
		}
	}
}

func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// kaiser is the Kaiser window over -1 to 1.
func kaiser(x float64) float64 {
	if x <= -1 || x >= 1 {
		return 0
	}
	return bessel0(kaiserBeta*math.Sqrt(1-x*x)) / bessel0(kaiserBeta)
}

// bessel0 is the modified Bessel function of order 0, by its series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-12*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// convert turns a granule of nch channels into out, which stays valid until the
// next call.
func (c *converter) convert(in *[2][granuleSamples]float32, nch int, out *[2][]float32) {
	switch {
	case nch == 2 && c.channels == 1:
		for i, v := range in[1] {
			in[0][i] = (in[0][i] + v) / 2
		}
	case nch == 1 && c.channels == 2:
		in[1] = in[0]
	}
	phase := c.phase
	for ch := range c.channels {
		if c.same {
			out[ch] = in[ch][:]
			continue
		}
		c.phase = phase
		c.resample(ch, in[ch][:])
		out[ch] = c.out[ch]
	}
}

// resample makes c.out[ch] of the samples that x completes.
func (c *converter) resample(ch int, x []float32) {
	h := append(c.history[ch], x...)
	y := c.out[ch][:0]
	at := 0
	for at+c.taps <= len(h) {
		row := c.filter[c.phase*c.taps : (c.phase+1)*c.taps]
		var sum float32
		for i, v := range h[at : at+c.taps] {
			sum += v * row[i]
		}
		y = append(y, sum)
		c.phase += c.down
		at += c.phase / c.up
		c.phase %= c.up
	}
	at = min(at, len(h))
	c.history[ch] = append(c.history[ch][:0], h[at:]...)
	c.out[ch] = y
}
