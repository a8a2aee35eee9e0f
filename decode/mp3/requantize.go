package mp3

import "math"

// maxQuantised is the largest quantised value: 15 and 13 more bits (clause
// 2.4.3.4.6, linbits).
const maxQuantised = 15 + 1<<13 - 1

// pow43 is sign(q) |q|^(4/3), q = index - maxQuantised.
var pow43 = makePow43()

func makePow43() (t [2*maxQuantised + 1]float32) {
	for q := range maxQuantised + 1 {
		v := float32(math.Pow(float64(q), 4.0/3))
		t[maxQuantised+q] = v
		t[maxQuantised-q] = -v
	}
	return t
}

const (
	// gainOffset is the global_gain that stands for 1 (clause 2.4.3.4.7).
	gainOffset = 210
	// minGain and maxGain bound the exponents of 2^(x/4) that can occur:
	// global_gain 0, subblock_gain 7, scale factor 31 (13818-3) with the largest
	// pretab, scalefac_scale 1; and global_gain 255.
	minGain = -gainOffset - 8*7 - 4*(31+3)
	maxGain = 255 - gainOffset
)

// pow2Quarter is 2^(x/4), x = index + minGain.
var pow2Quarter = makePow2Quarter()

func makePow2Quarter() (t [maxGain - minGain + 1]float32) {
	for i := range t {
		t[i] = float32(math.Exp2(float64(i+minGain) / 4))
	}
	return t
}

// pretab is added to the scale factors of long blocks with preflag (Table B.6).
var pretab = [longBands]uint8{0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 3, 3, 3, 2, 0}

// requantize scales the quantised lines of a granule (clause 2.4.3.4.7):
//
//	xr = sign(q) |q|^(4/3) 2^(a/4) 2^-b
//	long:  a = global_gain - 210                  b = m (scalefac + preflag pretab)
//	short: a = global_gain - 210 - 8 subblock_gain   b = m scalefac
//	m = 0.5 (scalefac_scale 0) or 1
//
// q[lines:] is zero and so is xr[lines:]; lines and all widths are even. It returns
// the sum of the squares of xr.
func requantize(xr *[granuleSamples]float32, q *[granuleSamples]int16, lines int, g *granule, s *scaleFactors, parts []part) float32 {
	var energy [2]float32
	for i, p := range parts {
		start := int(p.start)
		if start >= lines {
			break
		}
		gain := pow2Quarter[g.exponent(s, i, p)-minGain]
		end := min(start+int(p.width), lines)
		src, dst := q[start:end], xr[start:end]
		for j := 1; j < len(src) && j < len(dst); j += 2 {
			a := pow43[int(src[j-1])+maxQuantised] * gain
			b := pow43[int(src[j])+maxQuantised] * gain
			dst[j-1], dst[j] = a, b
			energy[0] += a * a
			energy[1] += b * b
		}
	}
	clear(xr[lines:])
	return energy[0] + energy[1]
}

// exponent is that of 2^(x/4) for the part p with index i.
func (g *granule) exponent(s *scaleFactors, i int, p part) int {
	e := g.globalGain - gainOffset
	f := int(s.value[i])
	if p.window != longWindow {
		e -= 8 * g.subblockGain[p.window]
	} else if s.preflag {
		f += int(pretab[p.band])
	}
	return e - f<<(1+g.scalefacScale)
}
