package mp3

import "math"

// midSide turns middle and side into left and right (clause 2.4.3.4.9.2):
//
//	L = (M + S) / sqrt(2)    R = (M - S) / sqrt(2)
func midSide(l, r []float32) {
	const half = math.Sqrt2 / 2
	r = r[:len(l)]
	for i, m := range l {
		s := r[i]
		l[i], r[i] = (m+s)*half, (m-s)*half
	}
}

// intensityGains are the gains of left and right by intensity position in
// MPEG-1 (clause 2.4.3.4.9.3):
//
//	ratio = tan(position pi/12)   L = ratio / (1 + ratio)   R = 1 / (1 + ratio)
var intensityGains = makeIntensityGains()

func makeIntensityGains() (t [illegalMPEG1][2]float32) {
	for i := range t {
		sin, cos := math.Sincos(float64(i) * math.Pi / 12)
		t[i] = [2]float32{float32(sin / (sin + cos)), float32(cos / (sin + cos))}
	}
	t[6] = [2]float32{1, 0}
	return t
}

// lsfIntensityGains are those of MPEG-2 (13818-3, clause 2.4.3.2), scale being
// the lowest bit of the right channel's scalefac_compress:
//
//	io = 2^(-1/4) (scale 0) or 2^(-1/2)
//	position 0: L = R = 1   odd: L = io^((position+1)/2)   even: R = io^(position/2)
func lsfIntensityGains(position, scale int) (l, r float32) {
	gain := pow2Quarter[-((position+1)/2<<scale)-minGain]
	if position&1 == 1 {
		return gain, 1
	}
	return 1, gain
}

// stereo is the stereo decoder for one granule; its fields are scratch.
type stereo struct {
	coded    [maxParts]bool // parts that are intensity coded
	position [maxParts]uint8
}

// decode turns the spectra of a joint stereo granule into left and right. g
// and s are those of the right channel. It returns the number of lines up to
// which the spectra may differ from zero.
func (d *stereo) decode(h *header, xr *[2][granuleSamples]float32, lines [2]int, g *granule, s *scaleFactors, parts []part) int {
	l, r := &xr[0], &xr[1]
	n := max(lines[0], lines[1])
	ms := h.modeExt&extMidSide != 0
	if h.modeExt&extIntensity == 0 {
		if ms {
			midSide(l[:n], r[:n])
		}
		return n
	}
	if h.version == mpeg1 {
		s.markIllegal()
	}
	d.findCoded(r, lines[1], s, parts)
	for i, p := range parts {
		start, end := int(p.start), int(p.start+p.width)
		if start >= n {
			break
		}
		if d.coded[i] {
			gl, gr := d.gains(h, g, i)
			pan(l[start:end], r[start:end], gl, gr)
		} else if ms {
			midSide(l[start:end], r[start:end])
		}
	}
	return n
}

// pan spreads what the left channel holds over both.
func pan(l, r []float32, gl, gr float32) {
	r = r[:len(l)]
	for i, v := range l {
		l[i], r[i] = v*gl, v*gr
	}
}

func (d *stereo) gains(h *header, g *granule, i int) (l, r float32) {
	p := int(d.position[i])
	if h.version == mpeg1 {
		return intensityGains[p][0], intensityGains[p][1]
	}
	return lsfIntensityGains(p, g.scalefacCompress&1)
}

// findCoded finds the intensity coded parts: those in the zero part of the right
// channel, window by window in short blocks, whose position is legal. The long
// windows of a mixed block have a zero part only if the short ones are
// all zero. The last band has no scale factor and takes the position that the scale
// factor of the one below is, if it is a legal one, whether or not that band is
// intensity coded itself: the text does not say, and the decoders that were compared
// (see TestClauseLastIntensityBand) agree.
func (d *stereo) findCoded(r *[granuleSamples]float32, lines int, s *scaleFactors, parts []part) {
	var first [4]int // the first part of each window's zero part
	for i, p := range parts {
		start, end := int(p.start), int(p.start+p.width)
		if start < lines && !allZero(r[start:min(end, lines)]) {
			first[p.window] = i + 1
		}
	}
	mixed := parts[0].window == longWindow && parts[len(parts)-1].window != longWindow
	if mixed && max(first[0], first[1], first[2]) > 0 {
		first[longWindow] = len(parts)
	}
	unscaled := 3
	if !mixed && parts[0].window == longWindow {
		unscaled = 1
	}
	for i, p := range parts {
		if below := i - unscaled; i >= len(parts)-unscaled {
			d.coded[i] = i >= first[p.window] && s.illegal>>below&1 == 0
			d.position[i] = d.position[below]
			continue
		}
		d.coded[i] = i >= first[p.window] && s.illegal>>i&1 == 0
		d.position[i] = s.value[i]
	}
}

func allZero(x []float32) bool {
	for _, v := range x {
		if v != 0 {
			return false
		}
	}
	return true
}
