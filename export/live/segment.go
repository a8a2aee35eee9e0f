package live

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"

	"dubgauge/export/page"
	"dubgauge/library"
)

// segmentSeconds is the length of the loudest part, which is what is listened to.
const segmentSeconds = page.LoudestSeconds

const (
	segmentBits  = 24
	segmentBytes = segmentBits / 8
	blockFrames  = 4096 // samples a channel that are decoded at a time
	wavHeader    = 44   // bytes
)

// segment is a part of a track to be sent as WAV: 24 bit PCM of one or two
// channels at the track's own rate.
type segment struct {
	read     func(block [][]float32) (n int, err error)
	close    func() error
	rate     int   // Hz
	sources  int   // channels of the file
	channels int   // sent
	skip     int64 // samples a channel before it
	frames   int64 // samples a channel in it
	gain     float64
}

// openSegment opens the file of t and finds the place of its loudest part. The
// caller closes the stream.
func openSegment(ctx context.Context, t *library.Track) (*segment, error) {
	s, err := t.Audio(ctx)
	if err != nil {
		return nil, err
	}
	info := s.Info()
	if info.SampleRate <= 0 || info.Channels <= 0 {
		return nil, errors.Join(fmt.Errorf("no audio"), s.Close())
	}
	rate, duration := float64(info.SampleRate), float64(t.Measurement.File.DurationS)
	if !(duration > 0) {
		return nil, errors.Join(fmt.Errorf("its length is not known"), s.Close())
	}
	start := segmentStart(t)
	g := &segment{read: s.Read, close: s.Close, rate: info.SampleRate, sources: info.Channels,
		channels: min(2, info.Channels), skip: int64(math.Round(start * rate))}
	g.frames = int64(math.Round(min(segmentSeconds, duration-start) * rate))
	g.gain = math.Pow(10, -headroom(t)/20)
	return g, nil
}

// segmentStart in seconds is the place of the loudest part, moved to the nearest
// downbeat, or beat, so that two segments that start together keep step for a
// while:
//
//	start = first + n * step, n the integer for which it lies nearest
func segmentStart(t *library.Track) float64 {
	const beatsPerBar = 4
	start, duration := float64(t.Loudness.Loudest30sStartS), float64(t.Measurement.File.DurationS)
	if !(start > 0) {
		return 0
	}
	m := &t.Measurement.Tempo
	first, step := float64(m.FirstDownbeatS), beatsPerBar*60/float64(m.BPM)
	if !m.FirstDownbeatS.Exists() {
		first, step = float64(m.FirstBeatS), 60/float64(m.BPM)
	}
	if moved := first + math.Round((start-first)/step)*step; moved >= 0 && moved+segmentSeconds <= duration {
		return moved // not when it is NaN
	}
	return start
}

// size of the whole file in bytes.
func (g *segment) size() int64 {
	return wavHeader + g.frames*int64(g.channels)*segmentBytes
}

// header is the RIFF header for PCM (Multimedia Programming Interface and Data
// Specifications 1.0). The length is known beforehand, so nothing is gone back to.
func (g *segment) header() []byte {
	data := uint32(g.frames) * uint32(g.channels) * segmentBytes
	rate := uint32(g.rate)
	le := binary.LittleEndian
	b := append(make([]byte, 0, wavHeader), "RIFF"...)
	b = le.AppendUint32(b, wavHeader-8+data)
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1)
	b = le.AppendUint16(b, uint16(g.channels))
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate*uint32(g.channels)*segmentBytes)
	b = le.AppendUint16(b, uint16(g.channels)*segmentBytes)
	b = le.AppendUint16(b, segmentBits)
	b = append(b, "data"...)
	return le.AppendUint32(b, data)
}

// writeTo sends header and audio. A track that ends early is filled up with
// silence, as the length was promised. Memory does not grow with the track.
func (g *segment) writeTo(ctx context.Context, w io.Writer) error {
	if _, err := w.Write(g.header()); err != nil {
		return err
	}
	block := make([][]float32, g.sources)
	for c := range block {
		block[c] = make([]float32, blockFrames)
	}
	out := make([]byte, 0, blockFrames*g.channels*segmentBytes)
	for sent := int64(0); sent < g.frames; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := g.read(block)
		if n == 0 && err != nil {
			return g.silence(w, g.frames-sent)
		}
		from := int(min(int64(n), g.skip))
		g.skip -= int64(from)
		to := int(min(int64(n), int64(from)+g.frames-sent))
		if out = g.append(out[:0], block, from, to); len(out) > 0 {
			if _, err := w.Write(out); err != nil {
				return err
			}
		}
		sent += int64(to - from)
	}
	return nil
}

// append writes samples as 24 bit PCM. Of more than two channels the first two
// are front left and right, which is where music has them.
func (g *segment) append(out []byte, block [][]float32, from, to int) []byte {
	const full = 1<<(segmentBits-1) - 1
	for i := from; i < to; i++ {
		for c := range g.channels {
			v := int32(math.Round(max(-full, min(full, float64(block[c][i])*g.gain*full))))
			out = append(out, byte(v), byte(v>>8), byte(v>>16))
		}
	}
	return out
}

func (g *segment) silence(w io.Writer, frames int64) error {
	zeros := make([]byte, blockFrames*g.channels*segmentBytes)
	for left := frames * int64(g.channels) * segmentBytes; left > 0; {
		n, err := w.Write(zeros[:min(left, int64(len(zeros)))])
		if err != nil {
			return err
		}
		left -= int64(n)
	}
	return nil
}
