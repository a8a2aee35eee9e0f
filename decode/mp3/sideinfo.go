package mp3

import "errors"

// The block types of a granule (clause 2.4.2.7).
const (
	blockLong  = 0
	blockStart = 1
	blockShort = 2
	blockStop  = 3
)

// granule is the side information of one granule of one channel (clause
// 2.4.1.7).
type granule struct {
	part23Length     int // bits of scale factors and Huffman codes
	bigValues        int // pairs in the big_values region
	globalGain       int
	scalefacCompress int
	blockType        uint8
	mixed            bool
	windowSwitching  bool
	tables           [3]uint8 // Huffman table a region
	subblockGain     [3]int
	regionEnd        [3]int // line after each region of big_values
	preflag          bool
	scalefacScale    int   // 0 or 1
	count1Table      uint8 // 0: table A, 1: table B
}

// sideInfo is the side information of a frame.
type sideInfo struct {
	mainDataBegin int // bytes before this frame's main data
	scfsi         [2]uint8
	gr            [2][2]granule // by granule and channel
}

// bitLengths are the widths of the fields that differ between MPEG-1 (0) and
// the lower sampling frequencies (1); private is by channel count.
var bitLengths = [2]struct {
	mainDataBegin, scalefacCompress int
	private                         [3]int
}{
	{9, 4, [3]int{0, 5, 3}},
	{8, 9, [3]int{0, 1, 2}},
}

var (
	errBigValues = errors.New("more spectral values than a granule holds")
	errBlockType = errors.New("a switched window of the normal block type")
	errTable     = errors.New("a Huffman table that does not exist")
)

// parse reads the side information of a frame with header h. The error names
// what the standard forbids; main_data_begin is valid nevertheless.
func (s *sideInfo) parse(h *header, r *bitReader) error {
	w := &bitLengths[h.lsf()]
	nch := h.channels()
	s.mainDataBegin = int(r.read(w.mainDataBegin))
	r.read(w.private[nch])
	s.scfsi = [2]uint8{}
	if h.version == mpeg1 {
		for ch := range nch {
			s.scfsi[ch] = uint8(r.read(4))
		}
	}
	var first error
	for g := range h.granules() {
		for ch := range nch {
			if err := s.gr[g][ch].parse(h, r); err != nil && first == nil {
				first = err
			}
		}
	}
	return first
}

func (g *granule) parse(h *header, r *bitReader) error {
	*g = granule{}
	g.part23Length = int(r.read(12))
	g.bigValues = int(r.read(9))
	g.globalGain = int(r.read(8))
	g.scalefacCompress = int(r.read(bitLengths[h.lsf()].scalefacCompress))
	g.windowSwitching = r.read(1) == 1
	var err error
	if g.windowSwitching {
		err = g.parseSwitched(h, r)
	} else {
		g.parseNormal(h, r)
	}
	if h.version == mpeg1 {
		g.preflag = r.read(1) == 1
	}
	g.scalefacScale = int(r.read(1))
	g.count1Table = uint8(r.read(1))
	if g.bigValues > granuleSamples/2 {
		return errBigValues
	}
	for i, t := range g.tables {
		if (t == 4 || t == 14) && (i == 0 || g.regionEnd[i-1] < 2*g.bigValues) {
			return errTable
		}
	}
	return err
}

// parseSwitched reads what follows window_switching_flag = 1. The regions are
// implied (clause 2.4.2.7, region0_count): the first one is 9 short or 8 long
// bands.
func (g *granule) parseSwitched(h *header, r *bitReader) error {
	g.blockType = uint8(r.read(2))
	g.mixed = r.read(1) == 1
	for i := range 2 {
		g.tables[i] = uint8(r.read(5))
	}
	for i := range g.subblockGain {
		g.subblockGain[i] = int(r.read(3))
	}
	b := h.bands()
	first := int(b.long[8])
	if g.blockType == blockShort {
		first = 3 * int(b.short[3])
	}
	g.regionEnd = [3]int{first, granuleSamples, granuleSamples}
	if g.blockType == blockLong {
		return errBlockType
	}
	return nil
}

// parseNormal reads what follows window_switching_flag = 0. Counts that lead
// past the last band mean all of the spectrum.
func (g *granule) parseNormal(h *header, r *bitReader) {
	for i := range g.tables {
		g.tables[i] = uint8(r.read(5))
	}
	region0 := int(r.read(4)) + 1
	region1 := region0 + int(r.read(3)) + 1
	b := h.bands()
	g.regionEnd = [3]int{
		int(b.long[min(region0, longBands)]),
		int(b.long[min(region1, longBands)]),
		granuleSamples,
	}
}
