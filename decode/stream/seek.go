package stream

import "io"

// Seeker is a Stream that can go on at another place without decoding what lies between.
type Seeker interface {
	// SeekTo makes the sample of that number, counted a channel from the first that Read
	// gives of the whole stream, the next one to be read; at or behind the end, Read then
	// gives io.EOF. What is read from there on is what reading on from the start gives, to
	// the bit where the content is whole; lossy codings that ffmpeg decodes settle to within
	// their own noise. Faults of what was passed over are not all found. An error ends the
	// stream, as one of Read does.
	SeekTo(sample int64) error
}

// Drop reads n samples a channel of s and throws them away; fewer at the end, which is no
// error.
func Drop(s Stream, n int64) error {
	const block = 4096
	dst := make([][]float32, s.Info().Channels)
	for n > 0 {
		for c := range dst {
			if dst[c] == nil {
				dst[c] = make([]float32, block)
			}
			dst[c] = dst[c][:min(n, block)]
		}
		k, err := s.Read(dst)
		n -= int64(k)
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
	return nil
}
