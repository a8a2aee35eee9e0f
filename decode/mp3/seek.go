package mp3

// SeekTo makes a sample the next one to be read; see stream.Seeker. Frames are passed over
// by their headers and side information, 1,000 times faster than they are decoded, and the
// timeline is kept over damage as it is when they are decoded. Where all frames have one bit
// rate, most are not even read: see leap.
//
// The last frames before the sample are decoded, and what they give is dropped: the overlap
// of the filter banks comes from them. Main data from before them is kept on the way.
func (t *track) SeekTo(sample int64) error {
	if sample < t.extent.pos || t.err != nil {
		again, err := Open(t.src)
		if err != nil {
			return err
		}
		*t = *again.(*track)
	}
	t.pending = [2][]float32{}
	t.leap(sample)
	for t.extent.pos+settle*granuleSamples <= sample && t.ready() && t.conv == nil {
		t.pass()
	}
	if t.leaped { // the first frames behind the leap lack main data, which is no damage
		t.dec.chain = suspect{lame: t.first.tag.lame}
		t.leaped = false
	}
	return t.dropTo(sample)
}

// settle is how many granules are decoded before the one that holds the sample: one fills
// the overlap of the transforms (clause 2.4.3.4.10.4), and the next one, whose 18 slots are
// more than the 16 that it remembers, the synthesis filter bank (clause 2.4.3.2.2). Two more
// are for granules that are faded in behind damage.
const settle = 4

// pass moves on by a granule without decoding it. Behind a change of the rate all is decoded,
// as that alone tells how long it is when it is converted.
func (t *track) pass() {
	t.extent.pos += granuleSamples
	t.dec.pass(t.cur.channels(), 1)
	if t.silent > 0 {
		t.silent--
		return
	}
	if t.cause == nil {
		t.dec.bits.pos = t.dec.behind(&t.cur.header, t.granule)
	}
	t.granule++
}

// nowhere has no room, so that what is decoded is left pending.
var nowhere = make([][]float32, 2)

// dropTo decodes up to a sample and leaves pending what comes from it on.
func (t *track) dropTo(sample int64) error {
	for t.err == nil && t.extent.pos <= sample {
		from := max(t.extent.pos, 0)
		t.step(nowhere, 0)
		for ch := range t.info.Channels {
			drop := min(max(sample-from, 0), int64(len(t.pending[ch])))
			t.pending[ch] = t.pending[ch][drop:]
		}
	}
	if err := t.frames.in.err; err != nil {
		return err
	}
	return nil
}
