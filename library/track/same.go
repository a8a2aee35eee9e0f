package track

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"dubgauge/decode"
)

// ChangedError says that a file is not the one that was measured: what is said of the track
// holds no more, and its level least of all.
type ChangedError struct {
	What string // what differs, for a sentence
}

func (e *ChangedError) Error() string {
	return "the file is not the one that was measured: " + e.What
}

// Seen remembers which files were found to be those that were measured, so that their content
// is not read again for each part that is played. Its zero value is empty. It may be used by
// several goroutines.
type Seen struct {
	mu    sync.Mutex
	files map[string]seenFile // by path
}

// seenFile is what a file was when its content was compared.
type seenFile struct {
	size    int64
	time    time.Time
	content string
}

// mostSeen bounds what is remembered.
const mostSeen = 1000

func (s *Seen) has(path string, f seenFile) bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	known, ok := s.files[path]
	return ok && known.size == f.size && known.time.Equal(f.time) && known.content == f.content
}

func (s *Seen) add(path string, f seenFile) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.files == nil || len(s.files) >= mostSeen {
		s.files = map[string]seenFile{}
	}
	s.files[path] = f
}

// AudioFrom opens the track's file for listening, read-only, from a time in seconds on, after
// it was held against what is known of the file that was measured: its size, its content (see
// ContentOf, which takes some 20 ms on a stick; every byte, where its time moved), or where that is
// not known, its time. The
// error is a *ChangedError when it is another file, else one of decode.Open.
func (t *Track) AudioFrom(ctx context.Context, seen *Seen, seconds float64) (decode.Stream, error) {
	path := t.DiskPath()
	f, fi, err := decode.OpenRegular(path)
	if err != nil {
		return nil, err
	}
	s, err := t.opened(ctx, f, fi, seen)
	if err != nil {
		f.Close()
		return nil, err
	}
	return from(s, seconds)
}

// Measured is Opener for a file that must still be the one that was measured; see AudioFrom.
func (t *Track) Measured(ctx context.Context, seen *Seen) func() (decode.Stream, error) {
	return func() (decode.Stream, error) { return t.AudioFrom(ctx, seen, 0) }
}

// opened compares and decodes what is open already, so that nobody can put another file there
// in between.
func (t *Track) opened(ctx context.Context, f *os.File, fi os.FileInfo, seen *Seen) (decode.Stream, error) {
	if err := t.compare(ctx, f, fi, seen); err != nil {
		return nil, err
	}
	s, err := decode.New(ctx, f.Name(), io.NewSectionReader(f, 0, fi.Size()))
	if err != nil {
		return nil, err
	}
	info, m := s.Info(), &t.Measurement.File
	if info.SampleRate != m.SampleRateHz || info.Channels != m.Channels {
		s.Close()
		return nil, &ChangedError{fmt.Sprintf("it has %d Hz and %d channels, it had %d Hz and %d", info.SampleRate, info.Channels, m.SampleRateHz, m.Channels)}
	}
	return &held{s, f}, nil
}

// compare holds an open file against what was measured.
func (t *Track) compare(ctx context.Context, f *os.File, fi os.FileInfo, seen *Seen) error {
	if was := t.Measurement.File.SizeBytes; was > 0 && was != fi.Size() {
		return &ChangedError{fmt.Sprintf("it has %d bytes, it had %d", fi.Size(), was)}
	}
	if len(t.Content) == 0 {
		if !t.ModTime.IsZero() && !t.ModTime.Equal(fi.ModTime()) {
			return &ChangedError{"it was written since"}
		}
		return nil
	}
	now := seenFile{fi.Size(), fi.ModTime(), string(t.Content)}
	if seen.has(f.Name(), now) {
		return nil
	}
	content, err := ContentOf(f, fi.Size())
	if err != nil {
		return err
	}
	if !bytes.Equal(content, t.Content) {
		return errOtherContent
	}
	if err := t.compareWhole(ctx, f, fi); err != nil {
		return err
	}
	seen.add(f.Name(), now)
	return nil
}

// errOtherContent: a file of the same size.
var errOtherContent = &ChangedError{"it has the same size, and another content"}

// compareWhole reads every byte of a file whose time moved since it was measured: what was
// repaired in its middle shows nowhere else.
func (t *Track) compareWhole(ctx context.Context, f *os.File, fi os.FileInfo) error {
	if len(t.Whole) == 0 || t.ModTime.IsZero() || t.ModTime.Equal(fi.ModTime()) {
		return nil
	}
	whole, err := NewWhole(fi.Size()).Sum(f, ctx.Err)
	if err != nil {
		return err
	}
	if !bytes.Equal(whole, t.Whole) {
		return errOtherContent
	}
	return nil
}

// held is a stream that closes its file.
type held struct {
	decode.Stream
	file *os.File
}

func (h *held) SeekTo(sample int64) error { return decode.SeekTo(h.Stream, sample) }

func (h *held) Close() error {
	err := h.Stream.Close()
	if e := h.file.Close(); err == nil {
		err = e
	}
	return err
}
