package mp3

const (
	// maxReservoir is the largest main_data_begin: 9 bits (clause 2.4.2.7).
	maxReservoir = 1<<9 - 1
	// reservoirBytes holds what earlier frames left, a frame, and what a decoder of
	// Huffman codes may read past its end.
	reservoirBytes = maxReservoir + maxFrameBytes + maxPairsBits/8 + wordPad
)

// reservoir holds main data. That of a frame starts main_data_begin bytes before
// the frame's own, headers and side information not counted (clause 2.4.2.7).
type reservoir struct {
	buf [reservoirBytes]byte
	n   int
}

// reset forgets what earlier frames left.
func (b *reservoir) reset() { b.n = 0 }

// add appends a frame's own main data and returns where its whole main data
// starts; ok is false if that was never seen.
func (b *reservoir) add(own []byte, begin int) (r bitReader, ok bool) {
	if b.n > maxReservoir {
		b.n = copy(b.buf[:], b.buf[b.n-maxReservoir:b.n])
	}
	start := b.n - begin
	b.n += copy(b.buf[b.n:b.n+maxFrameBytes], own)
	if start < 0 {
		return bitReader{}, false
	}
	return bitReader{buf: b.buf[:], pos: 8 * start, end: 8 * b.n}, true
}
