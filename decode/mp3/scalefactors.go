package mp3

// scaleFactors of one channel, a part (see layout) each. The last band of a
// long block and the last three parts of a short one have none: they are 0.
type scaleFactors struct {
	value [maxParts]uint8
	// illegal is the mask of parts whose value, read as an intensity position,
	// says that the part is not intensity coded.
	illegal uint64
	// preflag is that of the side information, or implied in MPEG-2.
	preflag bool
}

// slen1 and slen2 are bits a scale factor by scalefac_compress (clause
// 2.4.2.7).
var (
	slen1 = [16]uint8{0, 0, 0, 0, 3, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4}
	slen2 = [16]uint8{0, 1, 2, 3, 0, 1, 2, 3, 1, 2, 3, 1, 2, 3, 2, 3}
)

// scfsiGroups are the first bands of the groups whose scale factors the second
// granule may take over from the first (clause 2.4.2.7, scfsi_band).
var scfsiGroups = [5]int{0, 6, 11, 16, 21}

// illegalMPEG1 is the intensity position that stands for "not intensity
// coded" in MPEG-1 (clause 2.4.3.4.9.3). Larger ones have no meaning, so that they
// are taken as it is.
const illegalMPEG1 = 7

// readMPEG1 reads the scale factors of a granule (clause 2.4.1.7, main_data):
//
//	long:  bands 0 to 10 of slen1 bits, 11 to 20 of slen2 bits
//	short: bands 0 to 5 of slen1 bits, 6 to 11 of slen2 bits, a window each
//	mixed: long bands 0 to 7 and short ones 3 to 5 of slen1 bits, then as short
//
// In the second granule of a frame scfsi tells which groups of bands of a long
// block stay as they are.
func (s *scaleFactors) readMPEG1(r *bitReader, g *granule, second bool, scfsi uint8) {
	a, b := int(slen1[g.scalefacCompress]), int(slen2[g.scalefacCompress])
	s.preflag = g.preflag
	if g.blockType == blockShort {
		n := 18
		if g.mixed {
			n = 17
		}
		s.readRun(r, 0, n, a)
		s.readRun(r, n, n+18, b)
		clear(s.value[n+18:])
	} else {
		for i := range 4 {
			if second && scfsi>>(3-i)&1 == 1 {
				continue
			}
			bits := a
			if i >= 2 {
				bits = b
			}
			s.readRun(r, scfsiGroups[i], scfsiGroups[i+1], bits)
		}
		clear(s.value[scfsiGroups[4]:])
	}
}

// markIllegal fills in illegal for MPEG-1, whose positions are 0 to 6.
func (s *scaleFactors) markIllegal() {
	s.illegal = 0
	for i, v := range s.value {
		if v >= illegalMPEG1 {
			s.illegal |= 1 << i
		}
	}
}

func (s *scaleFactors) readRun(r *bitReader, from, to, bits int) {
	for i := from; i < to; i++ {
		s.value[i] = uint8(r.read(bits))
	}
}

// lsfCounts are the numbers of scale factors of each of the four lengths, by
// class of scalefac_compress and by kind of block: long, short, mixed (13818-3,
// clause 2.4.3.2). Classes 3 to 5 are those of the right channel in intensity
// stereo.
var lsfCounts = [6][3][4]uint8{
	{{6, 5, 5, 5}, {9, 9, 9, 9}, {6, 9, 9, 9}},
	{{6, 5, 7, 3}, {9, 9, 12, 6}, {6, 9, 12, 6}},
	{{11, 10, 0, 0}, {18, 18, 0, 0}, {15, 18, 0, 0}},
	{{7, 7, 7, 0}, {12, 12, 12, 0}, {6, 15, 12, 0}},
	{{6, 6, 6, 3}, {12, 9, 9, 6}, {6, 12, 9, 6}},
	{{8, 8, 5, 0}, {15, 12, 9, 0}, {6, 18, 9, 0}},
}

// lsfLengths splits scalefac_compress of MPEG-2 into the four lengths in bits
// and the class (13818-3, clause 2.4.3.2).
func lsfLengths(c int, intensity bool) (slen [4]int, class int) {
	if intensity {
		c >>= 1
		switch {
		case c < 180:
			return [4]int{c / 36, c % 36 / 6, c % 6, 0}, 3
		case c < 244:
			c -= 180
			return [4]int{c >> 4, c >> 2 & 3, c & 3, 0}, 4
		}
		c -= 244
		return [4]int{c / 3, c % 3, 0, 0}, 5
	}
	switch {
	case c < 400:
		return [4]int{c >> 4 / 5, c >> 4 % 5, c >> 2 & 3, c & 3}, 0
	case c < 500:
		c -= 400
		return [4]int{c >> 2 / 5, c >> 2 % 5, c & 3, 0}, 1
	}
	c -= 500
	return [4]int{c / 3, c % 3, 0, 0}, 2
}

// readMPEG2 reads the scale factors of a granule of MPEG-2 or 2.5 (13818-3,
// clause 2.4.1.7). intensity is set for the right channel of a frame in intensity
// stereo; a position of all ones then means "not intensity coded".
func (s *scaleFactors) readMPEG2(r *bitReader, g *granule, intensity bool) {
	slen, class := lsfLengths(g.scalefacCompress, intensity)
	kind := 0
	if g.blockType == blockShort {
		kind = 1
		if g.mixed {
			kind = 2
		}
	}
	s.preflag = class == 2
	s.illegal = 0
	i := 0
	for j, bits := range slen {
		all := uint8(1)<<bits - 1
		for range lsfCounts[class][kind][j] {
			s.value[i] = uint8(r.read(bits))
			if bits > 0 && s.value[i] == all {
				s.illegal |= 1 << i
			}
			i++
		}
	}
	clear(s.value[i:])
}
