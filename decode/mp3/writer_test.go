package mp3

import (
	"encoding/binary"
	"math"
	"math/rand/v2"
)

// A streamWriter makes Layer III streams of random but valid content, to reach
// what encoders don't produce: every Huffman table, mixed blocks, intensity stereo in
// both versions, all splits of scale factors.
type streamWriter struct {
	r    *rand.Rand
	h    header // version, rateIndex, mode; modeExt changes from frame to frame
	ext  []uint8
	kind func(r *rand.Rand) (blockType uint8, mixed bool)
	// emphasis is the header's; reach leaves the right channel of an intensity frame
	// coded up to a line within band 20, instead of little of it.
	emphasis uint8
	reach    bool
	extreme  extreme
	free     int // bytes of a frame without padding in free format, 0 for a bit rate

	main   []byte // main data, whose own part of the current frame starts at own
	own    int
	frames [][]byte
	places []int // where each frame's own main data starts
}

type bitWriter struct {
	b []byte
	n int
}

func (w *bitWriter) put(v uint32, n int) {
	for i := n - 1; i >= 0; i-- {
		if w.n%8 == 0 {
			w.b = append(w.b, 0)
		}
		w.b[w.n/8] |= byte(v>>i&1) << (7 - w.n%8)
		w.n++
	}
}

// draft is a granule to be written, with its quantised lines and scale factors.
type draft struct {
	granule
	regions [2]int // region0_count and region1_count
	q       [granuleSamples]int
	lines   int
	data    bitWriter
	scale   [maxParts]uint32
}

const writerBitrateIndex = 14 // the highest

// bytes writes n frames.
func (w *streamWriter) bytes(n int) []byte {
	for range n {
		w.frame()
	}
	if missing := w.own - len(w.main); missing > 0 {
		w.main = append(w.main, make([]byte, missing)...)
	}
	var out []byte
	for i, f := range w.frames {
		end := len(w.main)
		if i+1 < len(w.places) {
			end = w.places[i+1]
		}
		out = append(append(out, f...), w.main[w.places[i]:end]...)
	}
	return out
}

// frame writes a frame: main data starts where the last one's ended, or later.
func (w *streamWriter) frame() {
	h := w.h
	if w.free == 0 {
		h.bitrate = bitrates[h.lsf()][layerIII][writerBitrateIndex]
	}
	h.padding = w.r.IntN(2)
	h.modeExt = w.ext[w.r.IntN(len(w.ext))]
	room := h.frameBytes(w.free) - h.overhead()
	limit := maxReservoir >> h.lsf()
	if lead := w.own - len(w.main); lead > limit {
		w.main = append(w.main, make([]byte, lead-limit)...) // stuffing
	}
	begin := w.own - len(w.main)
	budget := 8 * (begin + room)
	share := budget / (h.granules() * h.channels())
	var side, data bitWriter
	w.sideHead(&side, &h, begin)
	drafts, scfsi := w.drafts(&h, min(share, 4095))
	if h.version == mpeg1 {
		for ch := range h.channels() {
			side.put(uint32(scfsi[ch]), 4)
		}
	}
	for gr := range h.granules() {
		for ch := range h.channels() {
			d := drafts[gr][ch]
			w.sideGranule(&side, &h, d)
			for i := range d.data.n {
				data.put(uint32(d.data.b[i/8]>>(7-i%8)&1), 1)
			}
		}
	}
	head := binary.BigEndian.AppendUint32(nil, w.headerBits(&h))
	w.frames = append(w.frames, append(head, side.b...))
	w.places = append(w.places, w.own)
	w.main = append(w.main, data.b...)
	if w.r.IntN(3) == 0 { // leave no reservoir
		w.main = append(w.main, make([]byte, w.own+room-len(w.main))...)
	}
	w.own += room
}

func (w *streamWriter) headerBits(h *header) uint32 {
	return 0x7FF<<21 | uint32(h.version)<<19 | layerIII<<17 | 1<<16 | uint32(writerBitrateIndex*b2i(w.free == 0))<<12 |
		uint32(h.rateIndex)<<10 | uint32(h.padding)<<9 | uint32(h.mode)<<6 | uint32(h.modeExt)<<4 | uint32(w.emphasis)
}

func (w *streamWriter) sideHead(s *bitWriter, h *header, begin int) {
	s.put(uint32(begin), bitLengths[h.lsf()].mainDataBegin)
	s.put(0, bitLengths[h.lsf()].private[h.channels()])
}

func (w *streamWriter) sideGranule(s *bitWriter, h *header, d *draft) {
	s.put(uint32(d.data.n), 12)
	s.put(uint32(d.bigValues), 9)
	s.put(uint32(d.globalGain), 8)
	s.put(uint32(d.scalefacCompress), bitLengths[h.lsf()].scalefacCompress)
	if d.windowSwitching {
		s.put(1, 1)
		s.put(uint32(d.blockType), 2)
		s.put(uint32(b2i(d.mixed)), 1)
		s.put(uint32(d.tables[0]), 5)
		s.put(uint32(d.tables[1]), 5)
		for _, g := range d.subblockGain {
			s.put(uint32(g), 3)
		}
	} else {
		s.put(0, 1)
		for _, t := range d.tables {
			s.put(uint32(t), 5)
		}
		s.put(uint32(d.regions[0]), 4)
		s.put(uint32(d.regions[1]), 3)
	}
	if h.version == mpeg1 {
		s.put(uint32(b2i(d.preflag)), 1)
	}
	s.put(uint32(d.scalefacScale), 1)
	s.put(uint32(d.count1Table), 1)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// drafts makes the granules of a frame. Both channels share their block type, as joint
// stereo needs.
func (w *streamWriter) drafts(h *header, limit int) (all [2][2]*draft, scfsi [2]int) {
	var kinds [2]granule
	for gr := range h.granules() {
		kinds[gr].blockType, kinds[gr].mixed = w.kind(w.r)
	}
	for ch := range h.channels() {
		if h.version == mpeg1 && kinds[0].blockType != blockShort && kinds[1].blockType != blockShort {
			scfsi[ch] = w.r.IntN(16)
		}
		for gr := range h.granules() {
			shared := 0
			if gr == 1 {
				shared = scfsi[ch]
			}
			for most := limit; ; most /= 2 {
				d := w.draft(h, kinds[gr], ch, most)
				d.writeScale(w, h, ch, shared, all[0][ch])
				d.writeLines(h)
				if d.data.n <= limit {
					all[gr][ch] = d
					break
				}
			}
		}
	}
	return all, scfsi
}

// draft chooses the side information and the lines, fewer the lower limit is.
func (w *streamWriter) draft(h *header, kind granule, ch, limit int) *draft {
	r := w.r
	d := &draft{granule: kind}
	d.windowSwitching = d.blockType != blockLong
	d.scalefacCompress = r.IntN(1 << bitLengths[h.lsf()].scalefacCompress)
	d.scalefacScale, d.count1Table = r.IntN(2), uint8(r.IntN(2))
	d.preflag = r.IntN(3) == 0 && d.blockType != blockShort
	for i := range d.subblockGain {
		d.subblockGain[i] = r.IntN(8) * b2i(d.windowSwitching)
	}
	big := r.IntN(min(limit/4, 288) + 1)
	quads := r.IntN(min(limit/8, (granuleSamples-2*big)/4) + 1)
	if h.modeExt&extIntensity != 0 && h.mode == modeJoint && ch == 1 {
		big, quads = big/4, quads/4 // leave a zero part
	}
	if w.reach && ch == 1 {
		return d.reachLastBut(h)
	}
	if w.extreme != 0 {
		return d.reachExtreme(w.extreme, r)
	}
	d.bigValues, d.lines = big, 2*big+4*quads
	d.chooseRegions(h, r)
	largest := 1
	for i := range 2 * big {
		t := d.tables[d.region(i)]
		top := tableTop(int(t))
		v := r.IntN(min(top, 3) + 1)
		if r.IntN(12) == 0 {
			v = r.IntN(top + 1)
		}
		largest = max(largest, v)
		d.q[i] = v * (1 - 2*r.IntN(2))
	}
	for i := 2 * big; i < d.lines; i++ {
		d.q[i] = r.IntN(3) - 1
	}
	// So that the largest line is about 0.2.
	d.globalGain = gainOffset + int(4*math.Log2(0.2/math.Pow(float64(largest), 4.0/3)))
	return d
}

// reachLastBut makes a granule whose only lines are the first two of the last band that
// has a scale factor: of long blocks only band 21 is then in the zero part, of the first
// window of short ones only band 12.
func (d *draft) reachLastBut(h *header) *draft {
	first := int(h.bands().long[20])
	if d.blockType == blockShort {
		first = 3 * int(h.bands().short[11])
	}
	d.bigValues, d.lines = first/2+1, first+2
	d.tables, d.regions = [3]uint8{1, 1, 1}, [2]int{7, 7}
	d.regionEnd = [3]int{int(h.bands().long[8]), int(h.bands().long[16]), granuleSamples}
	d.q[first], d.q[first+1] = 1, -1
	d.globalGain = gainOffset - 8
	return d
}

// extreme is a limit of the Huffman codes; 0 is none.
type extreme int

const (
	allEscaped extreme = iota + 1 // pairs of the largest value, 8206, as many as 4095 bits hold
	allQuads                      // 144 quads: the count1 region is all there is
	allPairs                      // 288 pairs: big_values at its largest
)

func (d *draft) reachExtreme(x extreme, r *rand.Rand) *draft {
	d.scalefacCompress = 0
	d.regions = [2]int{15, 7} // one region: the counts lead past the last band
	d.regionEnd = [3]int{granuleSamples, granuleSamples, granuleSamples}
	d.tables = [3]uint8{1, 1, 1}
	top := 1
	switch x {
	case allEscaped:
		const fits = 4095 / maxPairBits
		d.tables, d.bigValues, top = [3]uint8{31, 31, 31}, fits, maxQuantised
	case allPairs:
		d.bigValues = granuleSamples / 2
	}
	d.lines = 2 * d.bigValues
	if x == allQuads {
		d.lines = granuleSamples
	}
	for i := range d.lines {
		d.q[i] = top * (1 - 2*r.IntN(2))
		if x != allEscaped {
			d.q[i] = r.IntN(3) - 1
		}
	}
	d.globalGain = gainOffset + int(4*math.Log2(0.2/math.Pow(float64(top), 4.0/3)))
	return d
}

// tableTop is the largest value of a Huffman table.
func tableTop(t int) int {
	if t == 0 {
		return 0
	}
	for n := t; ; n-- {
		if c, ok := huffmanCodes[n]; ok {
			return int(math.Sqrt(float64(len(c.lengths)))) - 1 + (1<<linbits[t]-1)*b2i(t >= 16)
		}
	}
}

func (d *draft) chooseRegions(h *header, r *rand.Rand) {
	for i := range d.tables {
		for d.tables[i] = uint8(r.IntN(32)); d.tables[i] == 4 || d.tables[i] == 14; {
			d.tables[i] = uint8(r.IntN(32))
		}
	}
	b := h.bands()
	if d.windowSwitching {
		first := int(b.long[8])
		if d.blockType == blockShort {
			first = 3 * int(b.short[3])
		}
		d.tables[2] = 0
		d.regionEnd = [3]int{first, granuleSamples, granuleSamples}
		return
	}
	d.regions = [2]int{r.IntN(14), r.IntN(7)}
	d.regionEnd = [3]int{int(b.long[d.regions[0]+1]), int(b.long[d.regions[0]+d.regions[1]+2]), granuleSamples}
}

func (d *draft) region(line int) int {
	i := 0
	for line >= d.regionEnd[i] {
		i++
	}
	return i
}
