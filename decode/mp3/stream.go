package mp3

import (
	"errors"
	"io"
	"math"

	"dubgauge/decode/stream"
)

const (
	// maxJunk is how far Open looks for the first frame behind the tags: past a
	// picture whose tag states too short a length.
	maxJunk = 16 << 20
	// maxFill is how much lost audio, in seconds, is replaced by silence so that
	// what follows keeps its time. Longer gaps are taken for something that was
	// never audio.
	maxFill = 60
	// filterDelay is the delay of the decoder's filter banks in samples, which
	// together with the encoder's is cut at the start: 528 + 1, as encoders count.
	filterDelay = 529
)

// track is the stream that Open returns.
type track struct {
	src    *io.SectionReader
	first  place // the first frame of audio
	leaped bool  // the frames since then were not read
	info   stream.Info
	frames framer
	dec    decoder
	faults faultList
	extent extent

	cur     frame
	granule int     // of cur, the next to be decoded
	silent  int     // granules of silence to come before cur
	cause   error   // why cur is muted, or nil
	lost    error   // why there are silent granules
	meanLen float64 // of a frame in bytes, running

	lastLen   int   // of the frame before, in bytes
	lastShort bool  // which ended early
	constant  bool  // all frames have been of one length so far
	total     int64 // frames that the file states, 0 when it does not
	done      int64 // frames so far, lost ones among them
	counted   bool  // the frames ahead have been counted
	switched  bool  // between mono and stereo, and that has been named

	block   [2][granuleSamples]float32
	conv    *converter // nil as long as the file keeps its format
	pending [2][]float32
	err     error // what ends the stream
}

// Open finds the first frame of src and describes the stream. Errors are a
// *stream.Error: Unsupported for Layer I and II, Damaged where there is no audio
// of this kind; or what the medium said.
func Open(src *io.SectionReader) (stream.Stream, error) {
	t := &track{src: src}
	in := newInput(src)
	cutTrailer(in)
	t.frames.in = in
	fr, ok := t.frames.next(maxJunk)
	switch {
	case in.err != nil:
		return nil, in.err
	case !ok:
		return nil, stream.Errorf(stream.Damaged, "no MPEG audio frame was found").AtOffset(fr.offset)
	case fr.layer != layerIII:
		name := map[uint8]string{layerI: "I", layerII: "II"}[fr.layer]
		return nil, stream.Errorf(stream.Unsupported, "MPEG audio Layer %s; only Layer III is decoded", name).AtOffset(fr.offset)
	}
	t.faults.rate = fr.sampleRate()
	if fr.gap > 0 {
		fr = t.nameFront(fr)
	}
	t.describe(&fr)
	return t, in.err
}

// describe fills in what the first frame says, and keeps it if it is audio.
func (t *track) describe(fr *frame) {
	t.info = stream.Info{
		Format:      "mp3",
		Codec:       "mp3",
		SampleRate:  fr.sampleRate(),
		Channels:    fr.channels(),
		BitrateKbps: fr.bitrate,
	}
	if fr.bitrate == 0 {
		t.info.BitrateKbps = kbps(int64(t.frames.freeBytes), int64(fr.samples()), fr.sampleRate())
	}
	t.meanLen = float64(fr.frameBytes(t.frames.freeBytes))
	t.constant = true
	tag := parseInfo(fr)
	t.dec.chain.lame = tag.lame
	t.total = tag.frames
	t.extent = newExtent(tag, fr.samples(), t.frames.in.end-fr.offset)
	t.info.Frames = t.extent.declared
	if audio := tag.bytes - int64(len(fr.data)); tag.frames > 0 && audio > 0 {
		t.info.BitrateKbps = kbps(audio, tag.frames*int64(fr.samples()), fr.sampleRate())
	}
	t.first = place{offset: fr.offset, pos: t.extent.pos, tag: tag}
	if !tag.present {
		t.start(fr)
	} else {
		t.first.offset += int64(len(fr.data))
		t.granule = fr.granules()
		t.cur.header = fr.header
	}
}

// kbps is a mean bit rate in kbit/s.
func kbps(bytes, samples int64, rate int) int {
	return int(math.Round(float64(bytes) * 8 * float64(rate) / float64(samples) / 1000))
}

// Info describes the stream.
func (t *track) Info() stream.Info { return t.info }

// Faults lists the damage so far.
func (t *track) Faults() []stream.Error { return t.faults.all() }

// Close ends the stream; the file is the caller's.
func (t *track) Close() error {
	t.err = errors.New("mp3: read after close")
	t.pending = [2][]float32{}
	return nil
}

// Read decodes into dst; see stream.Stream.
func (t *track) Read(dst [][]float32) (n int, err error) {
	want := len(dst[0])
	for n < want {
		if len(t.pending[0]) > 0 {
			n += t.drain(dst, n)
			continue
		}
		if t.err != nil {
			break
		}
		n += t.step(dst, n)
	}
	if n > 0 {
		return n, nil
	}
	return 0, t.err
}

// drain copies what is pending to dst from n on and returns how much.
func (t *track) drain(dst [][]float32, n int) (k int) {
	for ch := range t.info.Channels {
		k = copy(dst[ch][n:], t.pending[ch])
		t.pending[ch] = t.pending[ch][k:]
	}
	return k
}

// step decodes the next granule: straight into dst from n on if all of it is
// wanted as it is, and then returns its length; else it is left pending.
func (t *track) step(dst [][]float32, n int) int {
	if !t.ready() {
		return 0
	}
	direct := t.conv == nil && len(dst[0])-n >= granuleSamples && t.extent.inside()
	var out [2]*[granuleSamples]float32
	for ch := range out {
		out[ch] = &t.block[ch]
		if direct && ch < t.info.Channels {
			out[ch] = (*[granuleSamples]float32)(dst[ch][n:])
		}
	}
	from := t.extent.pos
	cause := t.decode(&out)
	if direct {
		t.extent.pos += granuleSamples
		n = granuleSamples
	} else {
		t.deliver()
		n = 0
	}
	if cause != nil {
		t.faults.muted(from, t.extent.pos, t.cur.offset, cause)
	}
	return n
}

// deliver leaves pending what of block is wanted.
func (t *track) deliver() {
	for ch := range t.info.Channels {
		t.pending[ch] = t.block[ch][:]
	}
	if t.conv != nil {
		t.conv.convert(&t.block, t.cur.channels(), &t.pending)
	}
	from, to := t.extent.cut(len(t.pending[0]))
	for ch := range t.info.Channels {
		t.pending[ch] = t.pending[ch][from:to]
	}
}

// decode decodes the granule that is next, and returns why it is silent if it is.
func (t *track) decode(out *[2]*[granuleSamples]float32) (cause error) {
	nch := t.cur.channels()
	switch {
	case t.silent > 0:
		t.silent--
		t.dec.mute(nch, out)
		return t.lost
	case t.cause != nil:
		t.dec.mute(nch, out)
		cause = t.cause
	default:
		cause = t.dec.decode(&t.cur.header, t.granule, out)
	}
	t.granule++
	return cause
}
