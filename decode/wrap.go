package decode

import (
	"errors"
	"io"

	"dubgauge/decode/stream"
)

// fileStream closes the file together with its stream.
type fileStream struct {
	Stream
	file io.Closer
}

func (s *fileStream) Close() error {
	err := s.Stream.Close()
	if e := s.file.Close(); err == nil {
		err = e
	}
	return err
}

func (s *fileStream) Verified() Verification { return Verified(s.Stream) }

// Verified says how the comparison with the file's checksum came out that
// Options.Verify asks for; it is final once Read returned io.EOF.
func Verified(s Stream) Verification {
	if v, ok := s.(stream.Verifier); ok {
		return v.Verified()
	}
	return NotVerified
}

// shifted corrects the offsets of a stream that begins inside its file.
type shifted struct {
	Stream
	start int64
}

// shift makes the offsets in what a reader returned count from the file's first
// byte, when the reader was given the file from start on.
func shift(s Stream, err error, start int64) (Stream, error) {
	if start == 0 {
		return s, err
	}
	if err != nil {
		return nil, shiftError(err, start)
	}
	return &shifted{s, start}, nil
}

func shiftError(err error, start int64) error {
	var e *Error
	if !errors.As(err, &e) || e.Offset < 0 {
		return err
	}
	moved := *e
	moved.Offset += start
	return &moved
}

func (s *shifted) Read(dst [][]float32) (int, error) {
	n, err := s.Stream.Read(dst)
	if err != nil {
		err = shiftError(err, s.start)
	}
	return n, err
}

func (s *shifted) Faults() []Error {
	list := s.Stream.Faults()
	for i := range list {
		if list[i].Offset >= 0 {
			list[i].Offset += s.start
		}
	}
	return list
}

func (s *shifted) Verified() Verification { return Verified(s.Stream) }

// faulty adds a fault that was found before the stream was opened.
type faulty struct {
	Stream
	first Error
}

func (s *faulty) Faults() []Error { return append([]Error{s.first}, s.Stream.Faults()...) }

func (s *faulty) Verified() Verification { return Verified(s.Stream) }

// contained is a stream of one format inside a container of another.
type contained struct {
	Stream
	container string
}

func (s *contained) Info() Info {
	i := s.Stream.Info()
	i.Format = s.container
	return i
}
