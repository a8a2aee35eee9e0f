package decode

import (
	"fmt"

	"dubgauge/decode/stream"
)

// SeekTo makes a sample of s the next one to be read, counted a channel from the first of
// the stream: as stream.Seeker says where s is one, else by decoding and dropping what lies
// before it, for which s must not have been read from.
func SeekTo(s Stream, sample int64) error {
	if sample < 0 {
		return fmt.Errorf("seeking to sample %d: there is none before the first", sample)
	}
	if k, ok := s.(stream.Seeker); ok {
		return k.SeekTo(sample)
	}
	return stream.Drop(s, sample)
}

func (s *fileStream) SeekTo(sample int64) error { return SeekTo(s.Stream, sample) }

func (s *shifted) SeekTo(sample int64) error {
	err := SeekTo(s.Stream, sample)
	if err != nil {
		return shiftError(err, s.start)
	}
	return nil
}

func (s *faulty) SeekTo(sample int64) error { return SeekTo(s.Stream, sample) }

func (s *contained) SeekTo(sample int64) error { return SeekTo(s.Stream, sample) }
