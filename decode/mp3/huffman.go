package mp3

import "encoding/binary"

// lookahead is how many bits of a Huffman code are looked up at once; the few
// longer codes take a second look.
const lookahead = 9

// pairTable decodes the pairs of values of one code (clause 2.4.3.4.6). An entry
// is, from the lowest bit: y in 4 bits, x in 4, length of the code with
// its sign bits in 5, length of the code alone in 5, whether x has a sign in 1. In
// first, an entry with the bit more is a link: the number of further bits in the
// lowest 5 bits, the place of their entries in second above them.
type pairTable struct {
	first  [1 << lookahead]uint32
	second []uint32
}

const (
	entryLength  = 8
	entryCode    = 13
	entrySignX   = 18
	more         = 1 << 31
	linkPlace    = 5
	quadLook     = 6 // bits of the longest code of count1
	pairEscape   = 15
	lengthMask   = 31
	valueMask    = 15
	maxPairBits  = 19 + 2 + 2*13
	maxPairsBits = granuleSamples / 2 * maxPairBits
)

// linbits are the bits that follow an escaped value, by table_select.
var linbits = [32]uint8{16: 1, 2, 3, 4, 6, 8, 10, 13, 4, 5, 6, 7, 8, 9, 11, 13}

// pairTables are by table_select; nil for table 0, where all is zero, and for 4
// and 14, which do not exist.
var pairTables = makePairTables()

func makePairTables() (all [32]*pairTable) {
	for n, c := range huffmanCodes {
		all[n] = newPairTable(c.lengths, c.codes)
	}
	for n := 17; n < 24; n++ {
		all[n] = all[16]
	}
	for n := 25; n < 32; n++ {
		all[n] = all[24]
	}
	return all
}

// newPairTable takes the codes in the order of the standard: x, then y.
func newPairTable(lengths []uint8, codes []uint16) *pairTable {
	t := new(pairTable)
	size := 1
	for size*size < len(lengths) {
		size++
	}
	t.link(lengths, codes)
	for i, length := range lengths {
		x, y := i/size, i%size
		n, code := int(length), int(codes[i])
		signX, signY := min(x, 1), min(y, 1)
		e := uint32(signX<<entrySignX | n<<entryCode | (n+signX+signY)<<entryLength | x<<4 | y)
		if n <= lookahead {
			fill(t.first[code<<(lookahead-n):], 1<<(lookahead-n), e)
			continue
		}
		rest := n - lookahead
		link := t.first[code>>rest]
		width := int(link & lengthMask)
		place := int(link&^more) >> linkPlace
		within := code & (1<<rest - 1) << (width - rest)
		fill(t.second[place+within:], 1<<(width-rest), e)
	}
	return t
}

// link makes room in t.second for the codes longer than lookahead, those
// with one beginning together.
func (t *pairTable) link(lengths []uint8, codes []uint16) {
	var width [1 << lookahead]int
	for i, n := range lengths {
		if rest := int(n) - lookahead; rest > 0 {
			w := &width[codes[i]>>rest]
			*w = max(*w, rest)
		}
	}
	for i, w := range width {
		if w > 0 {
			t.first[i] = uint32(more | len(t.second)<<linkPlace | w)
			t.second = append(t.second, make([]uint32, 1<<w)...)
		}
	}
}

func fill(s []uint32, n int, e uint32) {
	for i := range s[:n] {
		s[i] = e
	}
}

// readPairs fills q with pairs of values. It does not look at the end of the
// data: the buffer must hold maxPairsBits more than that.
func (t *pairTable) readPairs(r *bitReader, q []int16) {
	pos, buf := r.pos, r.buf
	for i := 1; i < len(q); i += 2 {
		w := binary.BigEndian.Uint64(buf[pos>>3:]) << (pos & 7)
		e := t.first[w>>(64-lookahead)]
		if e&more != 0 {
			e = t.second[e&^more>>linkPlace+uint32(w<<lookahead>>(64-e&lengthMask))]
		}
		pos += int(e >> entryLength & lengthMask)
		w <<= e >> entryCode & lengthMask
		sx := int64(w) >> 63
		w <<= e >> entrySignX & 1
		sy := int64(w) >> 63
		q[i-1] = int16((int64(e>>4&valueMask) ^ sx) - sx)
		q[i] = int16((int64(e&valueMask) ^ sy) - sy)
	}
	r.pos = pos
}

// readEscapedPairs is readPairs for the tables whose value 15 is followed by n
// more bits, which are added, and then by the sign.
func (t *pairTable) readEscapedPairs(r *bitReader, q []int16, n int) {
	pos, buf := r.pos, r.buf
	for i := 1; i < len(q); i += 2 {
		w := binary.BigEndian.Uint64(buf[pos>>3:]) << (pos & 7)
		e := t.first[w>>(64-lookahead)]
		if e&more != 0 {
			e = t.second[e&^more>>linkPlace+uint32(w<<lookahead>>(64-e&lengthMask))]
		}
		pos += int(e >> entryLength & lengthMask)
		w <<= e >> entryCode & lengthMask
		x, y := int64(e>>4&valueMask), int64(e&valueMask)
		if x == pairEscape {
			x += int64(w >> (64 - n))
			w <<= n
			pos += n
		}
		sx := int64(w) >> 63
		w <<= e >> entrySignX & 1
		if y == pairEscape {
			y += int64(w >> (64 - n))
			w <<= n
			pos += n
		}
		sy := int64(w) >> 63
		q[i-1] = int16((x ^ sx) - sx)
		q[i] = int16((y ^ sy) - sy)
	}
	r.pos = pos
}

// readSpectrum decodes the quantised lines of a granule whose data ends at
// bit end (clauses 2.4.1.7, huffmancodebits, and 2.4.3.4.6): big_values in up to
// three regions, then values of at most 1 in quadruples, then zeros. It returns
// the lines up to the last one that was coded. A last quadruple that
// leads past the end is dropped, as the standard asks for. exact tells whether the
// codes ended where the side information says; ok is false when they
// led past it.
func readSpectrum(r *bitReader, g *granule, end int, q *[granuleSamples]int16) (lines int, exact, ok bool) {
	for i, t := range g.tables {
		stop := min(g.regionEnd[i], 2*g.bigValues)
		if lines >= stop {
			continue
		}
		region := q[lines:stop]
		lines = stop
		switch p, n := pairTables[t], linbits[t]; {
		case p == nil:
			clear(region)
		case n == 0:
			p.readPairs(r, region)
		default:
			p.readEscapedPairs(r, region, int(n))
		}
		if r.pos > end {
			clear(q[:])
			return 0, false, false
		}
	}
	lines = readQuads(r, &quadTables[g.count1Table], end, q, lines)
	exact = r.pos == end
	clear(q[lines:])
	r.pos = end
	return lines, exact, true
}

// quadTable decodes the quadruples of count1 (Table B.7, A and B). An
// entry is the four values in 4 bits, the length of the code with signs in 4
// bits, the length of the code alone in 4.
type quadTable [1 << quadLook]uint16

var quadTables = [2]quadTable{makeQuadTable(&quadLengths, &quadCodes), makeQuadTableB()}

func makeQuadTable(lengths, codes *[16]uint8) (t quadTable) {
	for v, n := range lengths {
		signs := v&1 + v>>1&1 + v>>2&1 + v>>3
		e := uint16(int(n)<<8 | (int(n)+signs)<<4 | v)
		free := quadLook - int(n)
		for i := range 1 << free {
			t[int(codes[v])<<free+i] = e
		}
	}
	return t
}

// makeQuadTableB: in table B every value has 4 bits, the complement.
func makeQuadTableB() quadTable {
	var lengths, codes [16]uint8
	for v := range codes {
		lengths[v], codes[v] = 4, uint8(15-v)
	}
	return makeQuadTable(&lengths, &codes)
}

// readQuads returns the number of lines that are then filled.
func readQuads(r *bitReader, t *quadTable, end int, q *[granuleSamples]int16, lines int) int {
	for r.pos < end && lines+4 <= granuleSamples {
		w := r.peek()
		e := t[w>>(64-quadLook)]
		n := int(e >> 4 & valueMask)
		if r.pos+n > end {
			r.pos += n
			break
		}
		r.pos += n
		w <<= e >> 8
		four := q[lines : lines+4 : lines+4]
		for i := range four {
			v := int64(e >> (3 - i) & 1)
			s := int64(w) >> 63
			w <<= v
			four[i] = int16((v ^ s) - s)
		}
		lines += 4
	}
	return lines
}
