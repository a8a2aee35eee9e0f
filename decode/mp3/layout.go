package mp3

// part is a stretch of the spectrum with one scale factor: a scale factor
// band of a long block, or one window of a band of a short block.
type part struct {
	start, width uint16 // lines, in the order in which they are coded
	band         uint8
	window       uint8 // 0 to 2 of a short block, longWindow else
}

const longWindow = 3

// maxParts is the number of parts of a short block, the most there are.
const maxParts = 3 * shortBands

// layouts are the parts of a granule in coded order, by band table: the order of
// the scale factors and of the lines is the same (clauses 2.4.2.7, 2.4.3.4.8).
var layouts = makeLayouts()

type layoutSet struct {
	long, short, mixed []part
	mixedLong          int // parts of the long windows in mixed
}

func makeLayouts() (all [len(bandTables)]layoutSet) {
	for i := range bandTables {
		b, l := &bandTables[i], &all[i]
		l.long = appendLong(nil, b, longBands)
		l.short = appendShort(nil, b, 0)
		l.mixedLong = 6
		if i < 3 {
			l.mixedLong = 8
		}
		l.mixed = appendShort(appendLong(nil, b, l.mixedLong), b, 3)
	}
	return all
}

func appendLong(p []part, b *bandTable, n int) []part {
	for i := range n {
		p = append(p, part{b.long[i], b.long[i+1] - b.long[i], uint8(i), longWindow})
	}
	return p
}

func appendShort(p []part, b *bandTable, first int) []part {
	for i := first; i < shortBands; i++ {
		width := b.short[i+1] - b.short[i]
		for w := range uint16(3) {
			p = append(p, part{3*b.short[i] + w*width, width, uint8(i), uint8(w)})
		}
	}
	return p
}

// layout returns the parts of a granule that is coded as g says.
func (h *header) layout(g *granule) []part {
	l := &layouts[h.bandIndex()]
	switch {
	case g.blockType != blockShort:
		return l.long
	case g.mixed:
		return l.mixed
	}
	return l.short
}
