package mp3

// extent is the part of the decoded samples that the encoder was given, and where
// in it the decoder stands.
type extent struct {
	pos      int64 // of the next sample; negative in the encoder's delay
	end      int64 // sample to stop at, -1 when there is no such
	declared int64 // length that the file states and that can be believed, else -1
	stated   int64 // length that the file states, believed or not, else 0
}

// sizeTolerance is by how many bytes the size that a file states may differ from its
// own for the length that it states to be believed.
const sizeTolerance = 4096

// newExtent takes what the frame in front says, samples a frame, and the
// bytes from that frame to the end of the audio:
//
//	start = delay + 529    length = frames * samples - delay - padding
//
// A file that holds more bytes than stated has had something added to it, so
// that its end is not cut.
func newExtent(tag streamInfo, samples int, bytes int64) extent {
	e := extent{end: -1, declared: -1}
	if tag.frames == 0 {
		return e
	}
	length := tag.frames * int64(samples)
	if tag.trimmed {
		length -= int64(tag.delay + tag.padding)
		e.pos = -int64(tag.delay + filterDelay)
	}
	e.stated = length
	more := tag.bytes > 0 && bytes > tag.bytes+sizeTolerance
	less := tag.bytes > bytes+sizeTolerance || tag.frames > bytes
	if length < 0 || more {
		return e
	}
	if tag.trimmed {
		e.end = length
	}
	if !less {
		e.declared = length
	}
	return e
}

// inside tells whether a whole granule from pos on is wanted.
func (e *extent) inside() bool {
	return e.pos >= 0 && (e.end < 0 || e.pos+granuleSamples <= e.end)
}

// cut moves on by n samples and returns which of them are wanted.
func (e *extent) cut(n int) (from, to int) {
	from, to = int(max(-e.pos, 0)), n
	if e.end >= 0 {
		to = int(max(min(e.end-e.pos, int64(n)), 0))
	}
	e.pos += int64(n)
	return min(from, to), to
}
