package flac

import (
	"bytes"

	"dubgauge/decode/stream"
)

// Read fills dst as stream.Stream says. Channels that a frame lacks are silent,
// those that it has beyond the stream's are left out.
func (r *reader) Read(dst [][]float32) (int, error) {
	if r.silence > 0 {
		return r.readSilence(dst), nil
	}
	if r.used == r.cur.block {
		if r.err == nil {
			r.err = r.next()
		}
		if r.err != nil {
			return 0, r.err
		}
		if r.silence > 0 {
			return r.readSilence(dst), nil
		}
	}
	n := min(len(dst[0]), r.cur.block-r.used)
	scale := 1 / float32(int64(1)<<(r.depth-1))
	for c := range r.info.Channels {
		d := dst[c][:n]
		if c >= r.cur.channels() {
			clear(d)
			continue
		}
		for i, v := range r.dec.samples[c][r.used : r.used+n] {
			d[i] = float32(v) * scale
		}
	}
	r.used += n
	return n, nil
}

func (r *reader) readSilence(dst [][]float32) int {
	n := int(min(int64(len(dst[0])), r.silence))
	for c := range r.info.Channels {
		clear(dst[c][:n])
	}
	r.silence -= int64(n)
	return n
}

// outcome says how a search ended: found or not, and what was wrong with the place
// where it began.
type outcome struct {
	found bool
	why   problem
}

const noHeader problem = "no frame header"

// search decodes the first good frame at or behind offset; n is its length.
func (r *reader) search(offset int64) (h header, at int64, n int, o outcome, err error) {
	for from := offset; ; from = at + 1 {
		if h, at, err = r.find(from); err != nil || at < 0 {
			if o.why == noProblem {
				o.why = noHeader
			}
			return h, at, 0, o, err
		}
		var p problem
		if n, p, err = r.try(h, at); err != nil || p == noProblem {
			o.found = err == nil
			if at > offset && o.why == noProblem {
				o.why = noHeader
			}
			return h, at, n, o, err
		}
		if at == offset {
			o.why = p
		}
		if r.budget -= int64(n + h.block*h.channels()); r.budget < 0 {
			return h, at, n, o, stream.Errorf(stream.Damaged, "too much of the file is damaged to go on").AtOffset(offset)
		}
	}
}

// workBudget is how many bytes and samples of frames that turn out to be none are
// looked at before giving up: a file made of false frames must not take for ever.
func workBudget(size int64) int64 { return 50e6 + 8*size }

// find looks for a header at or behind offset; at is -1 when there is none.
func (r *reader) find(offset int64) (h header, at int64, err error) {
	for {
		b, err := r.src.at(offset, maxHeader)
		if err != nil || len(b) < 2 {
			return h, -1, err
		}
		last := offset+int64(len(b)) >= r.src.size
		for i := 0; i < len(b)-1; i++ {
			j := bytes.IndexByte(b[i:len(b)-1], 0xff)
			if j < 0 {
				break
			}
			i += j
			if !last && i > len(b)-maxHeader {
				break // the header may go on behind what is here
			}
			if h, ok := parseHeader(b[i:]); ok {
				return h, offset + int64(i), nil
			}
		}
		if last {
			return h, -1, nil
		}
		offset += int64(len(b) - maxHeader + 1)
	}
}

// try decodes the frame of header h at an offset. The error is the medium's.
func (r *reader) try(h header, at int64) (n int, p problem, err error) {
	s := r.shapeOf(h)
	need := h.length + (h.block*s.channels*(s.bits+1)/8+64)*2 // twice as much as samples written out
	b, err := r.src.at(at, need)
	if err != nil {
		return 0, noProblem, err
	}
	n, p = r.dec.decode(b, h, s.bits)
	return n, p, nil
}

// next decodes the frame that follows, over damage if need be.
func (r *reader) next() error {
	h, at, n, o, err := r.search(r.pos)
	if err != nil {
		return err
	}
	if !o.found {
		return r.finish(o.why)
	}
	lost := at - r.pos
	gap, ok := r.out.place(h)
	switch {
	case lost > 0 && gap > 0:
		r.fault(stream.Damaged, r.pos, "%d bytes that cannot be read (%s); %.2f s of music lost, silence in its place", lost, o.why, r.seconds(gap))
	case lost > 0 && ok:
		r.fault(stream.Damaged, r.pos, "%d bytes that cannot be read (%s); no music lost", lost, o.why)
	case lost > 0:
		r.fault(stream.Damaged, r.pos, "%d bytes that cannot be read (%s); how much music is lost is not known", lost, o.why)
	case gap > 0:
		r.fault(stream.Damaged, at, "frames are missing; %.2f s of music lost, silence in its place", r.seconds(gap))
	case !ok:
		r.fault(stream.Damaged, at, "frame number %d stands where another belongs", h.number)
	}
	r.incomplete = r.incomplete || gap > 0 || !ok
	r.silence = gap
	if s := r.shapeOf(h); s != r.shape {
		r.out.done += gap
		r.fault(stream.Damaged, at, "the sound changes from %v to %v", r.shape, s)
		r.out.done -= gap
		r.shape = s
	}
	r.take(h, at, n)
	return nil
}

// take makes the frame in r.dec, n bytes long, the one to hand out.
func (r *reader) take(h header, at int64, n int) {
	r.cur, r.depth, r.used, r.pos = h, r.shape.bits, 0, at+int64(n)
	r.out.last = h.number
	r.out.done += r.silence + int64(h.block)
	if r.sum != nil {
		r.hash()
	}
}
