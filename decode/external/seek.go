package external

import "dubgauge/decode/stream"

// seekAhead in seconds is how much earlier than asked for ffmpeg is told to begin, so
// that its decoders have settled: Opus asks for 80 ms (RFC 7845, section 4.6), AAC and
// Vorbis overlap by a block.
const seekAhead = 0.5

// seekLeast in seconds is the least way for which another start of ffmpeg pays.
var seekLeast = 20.0 // less in a test

// exactTimes are ffmpeg's readers of containers whose times are exact, so that it goes to
// the very sample; a raw stream is sought by its bit rate, which is a guess.
var exactTimes = map[string]bool{"mov": true, "ogg": true, "caf": true, "w64": true, "wv": true, "matroska": true}

// SeekTo starts ffmpeg anew at a sample, or earlier; see stream.Seeker. What it gives before
// the sample is dropped.
func (r *reader) SeekTo(sample int64) error {
	rate := float64(r.info.SampleRate)
	begin := int64(0)
	if exactTimes[r.container.demuxer] && float64(sample) > seekLeast*rate {
		begin = sample - int64(seekAhead*rate)
		begin -= begin % int64(r.info.SampleRate/common(r.info.SampleRate, 1e6)) // ffmpeg counts microseconds
	}
	if begin > 0 || sample < r.frames || r.err != nil {
		r.Close()
		if err := r.run(float64(begin) / rate); err != nil {
			r.err = err
			return err
		}
		r.frames = begin
	}
	return stream.Drop(r, sample-r.frames)
}

// common is the greatest common divisor.
func common(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

var _ stream.Seeker = (*reader)(nil)
