package flac

import (
	"fmt"
	"io"
)

// source gives any stretch of the file as one slice, out of a buffer that moves
// forward with the frames.
type source struct {
	src   io.ReaderAt
	size  int64
	buf   []byte
	start int64 // offset of buf[0]
	have  int   // bytes in buf
}

const sourceBytes = 256 << 10 // read at a time

// at returns the bytes from offset on, at least n of them or all that there are.
// They hold until the next call. An error is the medium's.
func (s *source) at(offset int64, n int) ([]byte, error) {
	if left := s.size - offset; int64(n) > left {
		n = int(max(0, left))
	}
	if n == 0 {
		return nil, nil
	}
	from := offset - s.start
	if from >= 0 && from+int64(n) <= int64(s.have) {
		return s.buf[from:s.have], nil
	}
	if len(s.buf) < n || s.buf == nil {
		grown := make([]byte, max(2*n, sourceBytes))
		copy(grown, s.buf[:s.have])
		s.buf = grown
	}
	kept := 0
	if from >= 0 && from < int64(s.have) {
		kept = copy(s.buf, s.buf[from:s.have])
	}
	s.start, s.have = offset, kept
	want := min(int64(len(s.buf)-kept), s.size-offset-int64(kept))
	got, err := s.src.ReadAt(s.buf[kept:kept+int(want)], offset+int64(kept))
	s.have += got
	if int64(got) < want {
		if err != io.EOF {
			return nil, fmt.Errorf("reading at byte %d: %w", offset+int64(s.have), err)
		}
		s.size = offset + int64(s.have) // the file became shorter
	}
	return s.buf[:s.have], nil
}
