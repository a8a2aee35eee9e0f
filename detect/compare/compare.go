package compare

import (
	"context"
	"errors"
	"fmt"
	"math"

	"dubgauge/decode"
	"dubgauge/detect"
)

// Kind is what was done between two tracks.
type Kind string

// The kinds. All but the last two mean the same recording, sample beside sample.
const (
	Same      Kind = "same"      // to the depth of a 16 bit file
	Gain      Kind = "gain"      // but for the level
	Equaliser Kind = "equaliser" // but for the level and a filter
	Limiter   Kind = "limiter"   // but for a gain that follows the peaks
	Encoder   Kind = "encoder"   // but for what an encoder takes away
	Mix       Kind = "mix"       // the same music, in another mix or treated in several ways
	Other     Kind = "other"     // another piece of music
)

// Result is how B lies beside A. Figures that do not exist are None.
type Result struct {
	Kind Kind `json:"kind"`
	// OffsetS is the time in B of what is at 0 s in A; negative where B begins later in the music.
	OffsetS detect.Value `json:"offset_s"`
	// OffsetSamples is that in samples of A's rate.
	OffsetSamples detect.Value `json:"offset_samples"`
	// SpeedPercent is by how much B plays faster.
	SpeedPercent detect.Value `json:"speed_percent"`
	OverlapS     detect.Value `json:"overlap_s"` // how long both play
	GainDB       detect.Value `json:"gain_db"`   // B over A, where both play the same
	// ResidualDB is what is left of B when A, at B's level, is taken from it.
	ResidualDB detect.Value `json:"residual_db"`
	Inverted   bool         `json:"inverted,omitempty"` // B has the opposite polarity
	// CentreHz and ChangeDB are third octaves: B over A, at equal level.
	CentreHz []float64      `json:"centre_hz,omitempty"`
	ChangeDB []detect.Value `json:"change_db,omitempty"`
	// ReductionDB is what a limiter took off B's loud moments which it left A, in dB: the most
	// but for a hundredth of the time; negative when A was limited more.
	ReductionDB detect.Value `json:"reduction_db"`
	Differ      []Span       `json:"differ,omitempty"`
}

// Span is a part of A in which the two differ, or that only one of them has.
type Span struct {
	StartS float64 `json:"start_s"`
	EndS   float64 `json:"end_s"`
	// In is "both" where they differ, else the only one that has it, "a" or "b", in its own time.
	In string `json:"in"`
	// DB is the mean difference in dB over the bands.
	DB float64 `json:"db,omitempty"`
}

// Open opens a track anew at its beginning.
type Open func() (decode.Stream, error)

// Tracks holds b against a. An error is that of opening or of the medium; damage in a file
// ends its outline there.
func Tracks(ctx context.Context, a, b Open) (Result, error) {
	none := detect.None
	r := Result{Kind: Other, OffsetS: none, OffsetSamples: none, SpeedPercent: none, OverlapS: none, GainDB: none, ResidualDB: none, ReductionDB: none}
	outA, err := readOutline(ctx, a)
	if err != nil {
		return r, err
	}
	outB, err := readOutline(ctx, b)
	if err != nil {
		return r, err
	}
	lags := coarse(outA, outB)
	if len(lags) == 0 {
		return r, nil
	}
	plan := placeWindows(outA, outB, lags)
	if err := plan.read(ctx, a, b); err != nil {
		return r, err
	}
	m, ok := plan.match()
	if !ok {
		return r, nil
	}
	r.Differ = spans(outA, outB, m.offset/float64(plan.rateA))
	m.leaveOut(r.Differ)
	m.into(&r, outA, outB)
	r.Kind = m.kind(&r)
	return r, nil
}

// read hands all of a track to take, block by block, and closes it.
func read(ctx context.Context, open Open, take func(info decode.Info, block [][]float32) (more bool)) (decode.Info, error) {
	s, err := open()
	if err != nil {
		return decode.Info{}, err
	}
	defer s.Close()
	info := s.Info()
	if info.SampleRate <= 0 || info.Channels <= 0 {
		return info, fmt.Errorf("%d channels at %d Hz", info.Channels, info.SampleRate)
	}
	buf, block := make([][]float32, info.Channels), make([][]float32, info.Channels)
	for c := range buf {
		buf[c] = make([]float32, 4096)
	}
	for {
		if err := ctx.Err(); err != nil {
			return info, err
		}
		n, err := s.Read(buf)
		for c := range block {
			block[c] = buf[c][:n]
			tame(block[c])
		}
		if n > 0 && !take(info, block) {
			return info, nil
		}
		if err != nil {
			return info, mediumError(err)
		}
	}
}

// mediumError is nil for the end of a track and for damage in it: what was read serves.
func mediumError(err error) error {
	var content *decode.Error
	if isEnd(err) || errors.As(err, &content) {
		return nil
	}
	return err
}

// mostSample is far over what any file of music holds; beyond it a sample is no sound.
const mostSample = 64

// tame takes out what is no number.
func tame(x []float32) {
	for i, v := range x {
		if !(math.Abs(float64(v)) < mostSample) {
			x[i] = 0
		}
	}
}
