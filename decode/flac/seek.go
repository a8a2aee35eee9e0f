package flac

import "dubgauge/decode/stream"

// SeekTo makes a sample the next one to be read; see stream.Seeker. The frame that holds it
// is found by halving what lies between, as each frame bears its number; a seek table is not
// needed, and is often missing or wrong. Where the numbers of the frames do not lead there,
// all frames on the way are decoded.
func (r *reader) SeekTo(sample int64) error {
	if sample < r.at() || r.err != nil {
		again, err := r.anew()
		if err != nil {
			return err
		}
		*r = *again
	}
	r.sum, r.verified = nil, stream.NotVerified
	if err := r.halve(sample); err != nil {
		return err
	}
	return r.dropTo(sample)
}

// at is the number of the next sample that Read gives.
func (r *reader) at() int64 { return r.out.done - r.silence - int64(r.cur.block-r.used) }

// anew is the stream as it was when it was opened.
func (r *reader) anew() (*reader, error) {
	fresh := &reader{src: source{src: r.src.src, size: r.src.size}, si: r.si, budget: workBudget(r.src.size)}
	return fresh, fresh.first()
}

// seekNear in bytes is how near to the frame halving stops: what is read at a time.
const seekNear = sourceBytes

// halve goes to the last frame that is known to begin at or before sample and near to it.
func (r *reader) halve(sample int64) error {
	if r.out.base != 0 {
		return nil
	}
	current := r.dec
	r.dec = decoder{} // for looking about
	low, high := r.pos, r.src.size
	best := int64(-1)
	var head header
	for high-low > seekNear {
		middle := low + (high-low)/2
		h, at, err := r.frameFrom(middle)
		if err != nil {
			return err
		}
		if at < 0 || r.out.sample(h) > sample {
			high = middle
			continue
		}
		low, best, head = at, at, h
	}
	if best < 0 {
		r.dec = current
		return nil
	}
	r.silence, r.cur.block, r.used = 0, 0, 0
	r.pos = best
	r.out.done, r.out.last = r.out.sample(head), head.number
	if head.number > 0 && !head.variable {
		r.out.last--
	}
	return nil
}

// frameFrom finds the first frame at or behind an offset that decodes and whose number goes
// on in the next one, so that it is no accident; at is -1 without one.
func (r *reader) frameFrom(offset int64) (h header, at int64, err error) {
	for from := offset; ; from = at + 1 {
		var n int
		var o outcome
		h, at, n, o, err = r.search(from)
		if err != nil || !o.found {
			return h, -1, err
		}
		next := r.out.sample(h) + int64(h.block)
		b, err := r.src.at(at+int64(n), maxHeader)
		if err != nil {
			return h, -1, err
		}
		if g, ok := parseHeader(b); ok && g.variable == h.variable && r.out.sample(g) == next {
			return h, at, nil
		}
		if at+int64(n) >= r.src.size {
			return h, -1, nil
		}
	}
}

// dropTo decodes up to a sample.
func (r *reader) dropTo(sample int64) error {
	for {
		left := sample - r.at()
		if left <= 0 || r.err != nil {
			return nil
		}
		if r.silence > 0 {
			r.silence -= min(r.silence, left)
			continue
		}
		if r.used < r.cur.block {
			r.used += int(min(left, int64(r.cur.block-r.used)))
			continue
		}
		r.err = r.next()
	}
}
