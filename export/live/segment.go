package live

import (
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"dubgauge/detect/advice"
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

	// longestPart in seconds is the most that is sent at once: sixteen bars at 96 BPM.
	longestPart = 40.0
	// largestPart in bytes bounds it at high rates: 40 s of stereo at 96 kHz.
	largestPart = 24 << 20
)

// part is what of a track is asked for.
type part struct {
	from, seconds float64
	moves         []advice.Move // done to it; none for the track as it is
}

// longest is how many seconds of t are sent at once at most.
func longest(t *library.Track) float64 {
	f := &t.Measurement.File
	return min(longestPart, largestPart/float64(max(1, f.SampleRateHz)*max(1, min(2, f.Channels))*segmentBytes))
}

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
	moved    *moved // nil without moves
}

// openSegment opens the file of t, if it still is the one that was measured, and goes to the
// part p. The caller closes the segment.
func openSegment(ctx context.Context, t *library.Track, seen *library.Seen, p part) (*segment, error) {
	m := &t.Measurement.File
	rate, duration := float64(m.SampleRateHz), float64(m.DurationS)
	if !(duration > 0) {
		return nil, fmt.Errorf("its length is not known")
	}
	begin := p.from
	if len(p.moves) > 0 {
		begin = max(0, p.from-settleTime)
	}
	s, err := t.AudioFrom(ctx, seen, begin)
	if err != nil {
		return nil, err
	}
	g := &segment{read: s.Read, close: s.Close, rate: m.SampleRateHz, sources: m.Channels, channels: min(2, m.Channels)}
	g.skip = int64(math.Round(p.from*rate)) - int64(math.Round(begin*rate))
	g.frames = int64(math.Round(min(p.seconds, duration-p.from) * rate))
	g.gain = math.Pow(10, -page.Headroom(t)/20)
	if len(p.moves) > 0 {
		g.gain = math.Pow(10, -movedHeadroom(t, p.moves)/20)
		g.moved = newMoved(p.moves, g.rate, g.sources)
	}
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
		if g.moved != nil {
			g.moved.run(block, n, int(min(int64(n), g.skip)))
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
