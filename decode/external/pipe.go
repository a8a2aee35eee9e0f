package external

import (
	"io"
	"time"
)

// pipeReader reads ffmpeg's output and kills it when it keeps us waiting for too
// long in all. Time that we spend on the samples ourselves does not count.
type pipeReader struct{ r *reader }

func (p pipeReader) Read(b []byte) (int, error) {
	r := p.r
	began := time.Now()
	timer := time.AfterFunc(r.left, func() {
		r.late.Store(true)
		r.cancel()
	})
	n, err := r.pipe.Read(b)
	timer.Stop()
	r.left -= time.Since(began)
	return n, err
}

// forward lets a pipe be read by offset, as long as the offsets follow each other.
// Whatever ends the pipe is an end to it; the reader asks the process why.
type forward struct{ src io.Reader }

func (f forward) ReadAt(b []byte, _ int64) (int, error) {
	n, err := io.ReadFull(f.src, b)
	if err != nil {
		err = io.EOF
	}
	return n, err
}
