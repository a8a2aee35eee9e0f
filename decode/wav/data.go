package wav

import (
	"bytes"

	"dubgauge/decode/pcm"
	"dubgauge/decode/stream"
)

// data notes the samples' place and returns where the chunk ends.
func (f *file) data(l *layout, c chunk) (end int64, err error) {
	if l.hasData {
		l.further(c)
		return c.body + c.avail, nil
	}
	rest := f.size - c.body
	size := l.long.dataSize(c)
	if size == 0 {
		empty, err := f.followed(c.body)
		if err != nil || empty {
			return c.body, err
		}
		size = rest
	}
	if streamed(c.size) && size == int64(c.size) && size > rest {
		size = rest
	}
	if size == rest && streamed(c.size) || c.size == 0 {
		if size, err = f.beforeTags(c.body); err != nil {
			return 0, err
		}
	}
	wrapped := size < rest && (rest-size)%(1<<32) == 0
	if wrapped {
		size = rest
	}
	end = c.body + min(size, rest)
	l.hasData, l.data, l.length, l.declared, l.wrapped = true, c.body, end-c.body, size, wrapped
	return end, nil
}

// beforeTags returns the bytes of samples from body on when only the end of the file
// bounds them: up to it, or up to chunks of tags that a program put there later.
func (f *file) beforeTags(body int64) (int64, error) {
	const farthest = 1 << 20 // bytes from the end; larger tags are rare in WAV
	from := max(body, f.size-farthest)
	b, err := f.read(from, int(f.size-from))
	if err != nil {
		return 0, err
	}
	for i := 0; i+chunkHeader <= len(b); i++ {
		if id := string(b[i : i+4]); id != "LIST" && id != "id3 " && id != "ID3 " {
			continue
		}
		if f.endsExactly(b[i:]) {
			return from + int64(i) - body, nil
		}
	}
	return f.size - body, nil
}

// endsExactly says whether b is a row of chunks without a remainder.
func (f *file) endsExactly(b []byte) bool {
	for len(b) >= chunkHeader && plausibleID(b[:4]) {
		next := chunkHeader + int64(f.order.Uint32(b[4:]))
		next += next & 1
		if next >= int64(len(b)) {
			return next-int64(len(b)) <= 1 // the last pad byte may be missing
		}
		b = b[next:]
	}
	return false
}

// followed says whether a chunk of known name stands at offset, or the file ends.
func (f *file) followed(offset int64) (bool, error) {
	c, ok, err := f.chunkAt(offset)
	return err == nil && (!ok || knownIDs[c.id]), err
}

// check names what of the header does not fit the file or itself. A shortage of less
// than a frame costs no music: some writers count a pad byte in.
func (f *file) check(l *layout, p pcm.Format, frame int64) error {
	if what := l.format.contradiction(p); what != "" {
		l.fault(stream.Damaged, l.format.offset, "the fmt chunk contradicts itself: %s", what)
	}
	if l.wrapped {
		l.fault(stream.Damaged, l.data, "the data chunk is longer than its size field can say (4 GB); other programs may play only a part")
	}
	if l.declared/frame > l.length/frame {
		l.fault(stream.Truncated, f.size, "the data chunk declares %d bytes, %d are there", l.declared, l.length)
	}
	if l.tooMuch(frame) {
		l.fault(stream.Damaged, l.moreAt, "the sound is in more than one data chunk: most players play only the first, and the %.1f s behind it are not read",
			float64(l.more/frame)/float64(l.format.rate))
		l.faults[len(l.faults)-1].At = float64(l.length/frame) / float64(l.format.rate)
	}
	stopped, err := pcm.Stopped(f.src, p, l.format.channels, int(l.format.rate), l.data, l.length, f.size)
	if stopped != nil {
		l.faults = append(l.faults, *stopped)
	}
	if err != nil {
		return err
	}
	return f.behind(l, frame)
}

func (l *layout) fault(kind stream.Kind, offset int64, format string, args ...any) {
	l.faults = append(l.faults, *stream.Errorf(kind, format, args...).AtOffset(offset))
}

// behind names bytes behind the samples that are no chunk, a frame of them or more:
// the data chunk then declares less than there is. Zeros and tags of other formats
// are no fault.
func (f *file) behind(l *layout, frame int64) error {
	offset, err := f.after(l.data+l.length, l.length&1 == 1)
	if err != nil || offset+frame > f.size {
		return err
	}
	b, err := f.read(offset, int(min(f.size-offset, 64)))
	if err != nil {
		return err
	}
	if len(b) >= chunkHeader && plausibleID(b[:4]) {
		size := int64(f.order.Uint32(b[4:]))
		if knownIDs[string(b[:4])] || offset+chunkHeader+size <= f.size {
			return nil
		}
	}
	for _, harmless := range []string{"TAG", "APETAGEX", "LYRICSBEGIN"} {
		if bytes.HasPrefix(b, []byte(harmless)) {
			return nil
		}
	}
	if len(bytes.Trim(b, "\x00")) > 0 {
		l.fault(stream.Damaged, offset, "%d bytes behind the data chunk are no chunk: the header may declare too little", f.size-offset)
	}
	return nil
}
