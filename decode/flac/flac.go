// Package flac reads FLAC files (RFC 9639), 4 to 32 bits.
//
// The frames are trusted, not STREAMINFO: rate, channels and depth are those of the
// first frame, and later changes are named as faults. Every frame is held against
// its CRC-16. After damage the next header whose CRC-8 fits is looked for and
// decoding goes on there; the frame numbers tell how much music was lost, and
// silence takes its place, so that what follows stays at its time. On request the
// MD5 of the samples is compared with the one in STREAMINFO.
//
// FLAC inside Ogg is not read.
package flac

import (
	"crypto/md5"
	"hash"
	"io"

	"dubgauge/decode/stream"
)

// Options change how a file is read. The zero value is the default.
type Options struct {
	// Verify compares the MD5 of the decoded samples with the stored one. A
	// difference becomes a fault of kind Damaged at the end of the stream.
	Verify bool
}

// Sniff says whether head, the first 4 bytes or more of a file, begins a FLAC file.
func Sniff(head []byte) bool { return len(head) >= 4 && string(head[:4]) == "fLaC" }

// reader is the stream.Stream of a FLAC file.
type reader struct {
	info   stream.Info
	si     streamInfo
	src    source
	faults stream.FaultList
	budget int64 // work left for frames that turn out to be none

	dec     decoder
	cur     header // of the frame in dec
	depth   int    // bits a sample of that frame
	used    int    // samples of it that were handed out
	silence int64  // samples to hand out before it
	pos     int64  // offset behind it

	out        timeline
	start      int64 // samples that the file's numbers put in front of the first one
	shape      shape // of the frame before
	sum        hash.Hash
	sumBuffer  []byte
	verified   stream.Verification
	err        error
	incomplete bool // some damage was named, so the MD5 cannot fit
}

// Open reads the header of the file that src holds from its first byte on, and its
// first frame. Errors about the content are *stream.Error.
func Open(src *io.SectionReader, opts Options) (stream.Stream, error) {
	r := &reader{src: source{src: src, size: src.Size()}}
	b, err := r.src.at(0, firstBlockEnd)
	if err != nil {
		return nil, err
	}
	if !Sniff(b) {
		return nil, stream.Errorf(stream.Damaged, "not a FLAC file").AtOffset(0)
	}
	si, bad := parseStreamInfo(b)
	if bad != nil {
		return nil, bad
	}
	r.si, r.budget = si, workBudget(src.Size())
	if opts.Verify {
		r.verified = stream.NoChecksum
		if si.md5 != [md5.Size]byte{} {
			r.sum = md5.New()
		}
	}
	if err := r.first(); err != nil {
		return nil, err
	}
	return r, nil
}

// first finds and decodes the first frame and settles the stream's shape by it.
func (r *reader) first() error {
	begin, ok, err := r.src.metadataEnd()
	if err != nil {
		return err
	}
	if !ok {
		begin = firstBlockEnd
	}
	r.pos = begin
	h, at, n, o, err := r.search(begin)
	if err != nil {
		return err
	}
	if begin != firstBlockEnd && !(o.found && (at == begin || h.number == 0)) {
		// A wrong block length may have led past the first frames.
		if h, at, n, o, err = r.search(firstBlockEnd); err != nil {
			return err
		}
	}
	if !o.found {
		return r.noFrame(begin, o.why)
	}
	s := r.shapeOf(h)
	if bad := stream.CheckShape(float64(s.rate), s.channels); bad != nil {
		return bad.AtOffset(at)
	}
	r.shape = s
	r.info = stream.Info{Format: "flac", Codec: "flac", SampleRate: s.rate, Channels: s.channels, BitDepth: s.bits,
		Frames: r.plausibleTotal(), ChannelMask: channelMasks[s.channels]}
	if total := r.info.Frames; total > 0 {
		r.info.BitrateKbps = int(float64(r.src.size-at) * 8 * float64(s.rate) / float64(total) / 1000)
	}
	if declared := (shape{r.si.rate, r.si.channels, r.si.bits}); declared != s {
		r.fault(stream.Damaged, at, "STREAMINFO says %v, the frames say %v", declared, s)
	}
	r.begin(h, at, begin)
	r.take(h, at, n)
	return nil
}

// begin settles where on the timeline the first frame lies.
func (r *reader) begin(h header, at, begin int64) {
	r.out = newTimeline(h, r.si)
	sample := r.out.sample(h)
	switch {
	case sample == 0 && at != begin:
		r.fault(stream.Damaged, begin, "the lengths of the metadata blocks are wrong, the first frame stands at byte %d", at)
	case sample > 0 && at == begin:
		r.out.base, r.start, r.incomplete = -sample, sample, true
		r.fault(stream.Damaged, at, "the first frame is number %d: the beginning is missing", h.number)
	case sample > 0:
		r.silence, _ = r.out.place(h)
		r.fault(stream.Damaged, begin, "%d bytes that cannot be read; %.2f s of music lost, silence in its place",
			at-begin, r.seconds(r.silence))
		r.incomplete = true
	}
}

// noFrame is the error for a file whose frames cannot be read or are not there.
func (r *reader) noFrame(begin int64, why problem) error {
	switch {
	case begin >= r.src.size:
		return stream.Errorf(stream.Truncated, "the file ends before its first frame").AtOffset(r.src.size)
	case why == cutOff:
		return stream.Errorf(stream.Truncated, "the file ends inside its first frame").AtOffset(r.src.size)
	}
	return stream.Errorf(stream.Damaged, "no frame that can be read").AtOffset(begin)
}

// plausibleTotal is the declared length, or -1 when it is not known or more than
// the bytes could hold.
func (r *reader) plausibleTotal() int64 {
	const (
		smallestFrame = 10      // bytes: header 6, one constant subframe 2, CRC 2
		largestBlock  = 1 << 16 // samples
	)
	if most := (r.src.size/smallestFrame + 1) * largestBlock; r.si.total == 0 || int64(r.si.total) > most {
		return -1
	}
	return int64(r.si.total)
}

// channelMasks are the loudspeakers of each channel count, RFC 9639 section 9.1.3,
// in the bits of dwChannelMask.
var channelMasks = [stream.MaxChannels + 1]uint32{0, 0x4, 0x3, 0x7, 0x33, 0x37, 0x3f, 0x70f, 0x63f}

// Info describes the stream. Frames is what STREAMINFO declares.
func (r *reader) Info() stream.Info { return r.info }

// Faults lists what was got over so far.
func (r *reader) Faults() []stream.Error { return r.faults.List() }

// Verified says how the comparison of the MD5 came out.
func (r *reader) Verified() stream.Verification { return r.verified }

// Close does nothing: the source is the caller's.
func (r *reader) Close() error { return nil }

// fault notes damage at offset and at the present time.
func (r *reader) fault(kind stream.Kind, offset int64, format string, args ...any) {
	r.faults.Add(stream.Errorf(kind, format, args...).AtOffset(offset).AtTime(r.seconds(r.out.done)))
}

func (r *reader) seconds(samples int64) float64 { return float64(samples) / float64(r.info.SampleRate) }
