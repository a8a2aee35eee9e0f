package mp3

import (
	"errors"
	"fmt"
)

// decoder turns frames into samples. It owns all its scratch memory.
type decoder struct {
	main  reservoir
	side  sideInfo
	bits  bitReader // main data of the current frame
	sf    [2]scaleFactors
	pair  stereo
	chain suspect

	lines    [2]int
	spectrum [2][granuleSamples]float32
	hybrid   [2]hybrid
	synth    [2]synthesis

	quantised [granuleSamples]int16
	scratch   [granuleSamples]float32
	slots     slotBlock
}

// The ways in which a frame's content can be wrong.
var (
	errShort     = errors.New("a frame is cut short")
	errReservoir = errors.New("main data of an earlier frame is missing")
	errPart23    = errors.New("main data ends too early")
	errScale     = errors.New("scale factors lead past the end of their granule")
	errCodes     = errors.New("the Huffman codes lead past the end of their granule")
)

// begin prepares for the granules of fr. After an error the frame is to be muted;
// its main data is kept for the frames that follow.
func (d *decoder) begin(fr *frame) error {
	head := fr.overhead()
	if len(fr.data) < head {
		d.main.reset()
		return errShort
	}
	var buf [headerBytes + crcBytes + 32 + wordPad]byte
	copy(buf[:], fr.data[:head])
	r := bitReader{buf: buf[:], pos: 8 * (head - fr.sideInfoBytes()), end: 8 * head}
	err := d.side.parse(&fr.header, &r)
	var ok bool
	d.bits, ok = d.main.add(fr.data[head:], d.side.mainDataBegin)
	if err != nil || !ok {
		d.chain.wounded()
	}
	switch {
	case err != nil:
		return fmt.Errorf("side information: %w", err)
	case !ok:
		return errReservoir
	}
	return d.chain.checkCRC(fr)
}

// complete tells whether the main data of the frame that was begun is all there.
func (d *decoder) complete(h *header) bool {
	n := d.bits.pos
	for gr := range h.granules() {
		for ch := range h.channels() {
			n += d.side.gr[gr][ch].part23Length
		}
	}
	return n <= d.bits.end
}

// decode decodes granule gr of the frame into one array a channel. After an error the
// granule is silent, faded by the overlap with its neighbours.
func (d *decoder) decode(h *header, gr int, out *[2]*[granuleSamples]float32) error {
	err := d.dequantise(h, gr)
	if err != nil {
		if err != errLevel {
			d.chain.wounded()
		}
		d.mute(h.channels(), out)
		return err
	}
	nch := h.channels()
	if nch == 2 && h.mode == modeJoint && h.modeExt != 0 {
		g := &d.side.gr[gr][1]
		n := d.pair.decode(h, &d.spectrum, d.lines, g, &d.sf[1], h.layout(g))
		d.lines = [2]int{n, n}
	}
	for ch := range nch {
		d.render(h, &d.side.gr[gr][ch], ch, out[ch])
	}
	return nil
}

// dequantise decodes the spectra of granule gr, and leaves the bit reader at the
// start of the next one.
func (d *decoder) dequantise(h *header, gr int) error {
	next := d.behind(h, gr)
	defer func() { d.bits.pos = next }()
	for ch := range h.channels() {
		g := &d.side.gr[gr][ch]
		end := d.bits.pos + g.part23Length
		if end > d.bits.end {
			return errPart23
		}
		d.readScaleFactors(h, g, gr, ch)
		if d.bits.pos > end {
			return errScale
		}
		lines, exact, ok := readSpectrum(&d.bits, g, end, &d.quantised)
		if !ok {
			return errCodes
		}
		energy := requantize(&d.spectrum[ch], &d.quantised, lines, g, &d.sf[ch], h.layout(g))
		d.lines[ch] = lines
		if err := d.chain.check(ch, exact, energy); err != nil {
			return err
		}
	}
	return nil
}

// behind is where the main data of granule gr ends, which is the next to be read.
func (d *decoder) behind(h *header, gr int) int {
	next := d.bits.pos
	for ch := range h.channels() {
		next += d.side.gr[gr][ch].part23Length
	}
	return min(next, d.bits.end)
}

func (d *decoder) readScaleFactors(h *header, g *granule, gr, ch int) {
	if h.version == mpeg1 {
		d.sf[ch].readMPEG1(&d.bits, g, gr == 1, d.side.scfsi[ch])
		return
	}
	intensity := ch == 1 && h.mode == modeJoint && h.modeExt&extIntensity != 0
	d.sf[ch].readMPEG2(&d.bits, g, intensity)
}

// render turns the spectrum of a channel into samples.
func (d *decoder) render(h *header, g *granule, ch int, out *[granuleSamples]float32) {
	x, lines, limit := &d.spectrum[ch], d.lines[ch], subbands
	if g.blockType == blockShort {
		lines = reorder(x, &d.scratch, lines, h.layout(g))
		limit = 1
		if g.mixed {
			limit = mixedLines / slots
		}
	}
	active := reduceAlias(x, lines, limit)
	d.hybrid[ch].transform(x, active, g, &d.slots)
	d.synth[ch].run(&d.slots, out)
}

// mute makes a granule without a spectrum.
func (d *decoder) mute(nch int, out *[2]*[granuleSamples]float32) {
	var long granule
	for ch := range nch {
		d.hybrid[ch].transform(&d.spectrum[ch], 0, &long, &d.slots)
		d.synth[ch].run(&d.slots, out[ch])
	}
}

// pass leaves so many granules of nch channels out: the ring of the filter bank turns, so
// that its sums are taken in the order that they would have been, and damage falls behind.
func (d *decoder) pass(nch int, granules int64) {
	for ch := range nch {
		d.synth[ch].slot = int((int64(d.synth[ch].slot) + slots*granules) & 15)
	}
	d.chain.alert = int(max(0, int64(d.chain.alert)-int64(nch)*granules))
}

// restart prepares for a stream of nch channels that follows one of another
// rate. What the filter banks hold of the old one sounds on.
func (d *decoder) restart(nch int) {
	d.main.reset()
	d.chain = suspect{lame: d.chain.lame}
	if nch == 2 {
		d.hybrid[1], d.synth[1] = d.hybrid[0], d.synth[0]
	}
}
