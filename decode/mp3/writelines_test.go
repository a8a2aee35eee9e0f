package mp3

import (
	"math"
	"math/rand/v2"
)

// writeScale writes random scale factors by the lists of clause 2.4.1.7 and of
// 13818-3, clause 2.4.3.2. Bands whose bit of shared is set are those of first.
func (d *draft) writeScale(w *streamWriter, h *header, ch, shared int, first *draft) {
	intensity := h.mode == modeJoint && h.modeExt&extIntensity != 0 && ch == 1
	i := 0
	run := func(n, bits int, skip bool) {
		for range n {
			if skip {
				d.scale[i] = first.scale[i]
			} else {
				d.scale[i] = scaleValue(w.r, bits, h, intensity)
				d.data.put(d.scale[i], bits)
			}
			i++
		}
	}
	if h.version != mpeg1 {
		slen, class := lsfLengths(d.scalefacCompress, intensity)
		kind := b2i(d.blockType == blockShort) * (1 + b2i(d.mixed))
		for j, n := range lsfCounts[class][kind] {
			run(int(n), slen[j], false)
		}
		return
	}
	a, b := int(slen1[d.scalefacCompress]), int(slen2[d.scalefacCompress])
	if d.blockType == blockShort {
		run(18-b2i(d.mixed), a, false)
		run(18, b, false)
		return
	}
	for j, n := range [4]int{6, 5, 5, 5} {
		bits := a
		if j >= 2 {
			bits = b
		}
		run(n, bits, shared>>(3-j)&1 == 1)
	}
}

// scaleValue is a random scale factor. As an intensity position it keeps off what
// other decoders do not take as the standard says: positions above 7 in MPEG-1; in
// MPEG-2 the illegal position, all ones, for which mpg123 has 7 at every length and
// ffmpeg none but all above 15. TestIntensityPositions has those.
func scaleValue(r *rand.Rand, bits int, h *header, intensity bool) uint32 {
	for {
		v := uint32(r.IntN(1 << bits))
		switch {
		case !intensity, bits == 0, h.version == mpeg1 && v <= 7:
			return v
		case h.version != mpeg1 && v != 7 && v < 16 && v != 1<<bits-1:
			return v
		}
	}
}

// writeLines writes the lines in Huffman codes (clause 2.4.1.7, huffmancodebits).
func (d *draft) writeLines(h *header) {
	for i := 0; i < 2*d.bigValues; i += 2 {
		d.writePair(int(d.tables[d.region(i)]), d.q[i], d.q[i+1])
	}
	for i := 2 * d.bigValues; i < d.lines; i += 4 {
		v := 0
		for _, q := range d.q[i : i+4] {
			v = v<<1 | q&1
		}
		if d.count1Table == 1 {
			d.data.put(uint32(15-v), 4)
		} else {
			d.data.put(uint32(quadCodes[v]), int(quadLengths[v]))
		}
		for _, q := range d.q[i : i+4] {
			if q != 0 {
				d.data.put(uint32(b2i(q < 0)), 1)
			}
		}
	}
}

func (d *draft) writePair(table, x, y int) {
	if table == 0 {
		return
	}
	n := table
	for huffmanCodes[n].lengths == nil {
		n--
	}
	c := huffmanCodes[n]
	size := int(math.Sqrt(float64(len(c.lengths))))
	ax, ay := max(x, -x), max(y, -y)
	top := size - 1
	i := min(ax, top)*size + min(ay, top)
	d.data.put(uint32(c.codes[i]), int(c.lengths[i]))
	for _, v := range [2]int{x, y} {
		a := max(v, -v)
		if table >= 16 && a >= pairEscape {
			d.data.put(uint32(a-pairEscape), int(linbits[table]))
		}
		if v != 0 {
			d.data.put(uint32(b2i(v < 0)), 1)
		}
	}
}
