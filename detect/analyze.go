package detect

import (
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"dubgauge/decode"
	"dubgauge/detect/balance"
	"dubgauge/detect/loudness"
	"dubgauge/detect/lowend"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/tempo"
	"dubgauge/detect/truepeak"
	"dubgauge/detect/width"
)

// blockSamples is how many samples a channel are read at a time: small enough
// for the cache, large enough that handing blocks round costs nothing.
const blockSamples = 4096

// meter is one measurement: it is written the whole track, then puts what it
// found into the Measurement. Meters come in an order in which each may read
// what those before it have put there.
type meter struct {
	write func(block [][]float32)
	put   func(*Measurement)
}

// Analyze measures a track in one pass over s, whose file holds sizeBytes.
// progress, which may be nil, is called with the seconds done about once for
// each second of audio.
//
// What is wrong with the content stands in the Measurement's Error, beside
// what could be measured up to there. The error returned is ctx's or the
// medium's; then too the Measurement holds what was measured. Analyze does not
// close s.
func Analyze(ctx context.Context, s decode.Stream, sizeBytes int64, progress func(seconds float64)) (Measurement, error) {
	info := s.Info()
	m := Empty()
	m.File = fileOf(info, sizeBytes)
	if info.SampleRate <= 0 || info.Channels <= 0 {
		m.Error = &Problem{reason.ProblemDamaged, fmt.Sprintf("%d channels at %d Hz", info.Channels, info.SampleRate)}
		return m, nil
	}
	meters := newMeters(info)
	read := reader{s: s, rate: info.SampleRate, progress: progress}
	err := read.all(ctx, info.Channels, meters)
	m.File.DurationS = Value(float64(read.samples) / float64(info.SampleRate))
	if read.samples > 0 {
		for i, t := range meters {
			t.put(&m)
			meters[i] = meter{} // and what only it holds: the next one works in that room
		}
	}
	m.addFaults(streamFaults(s))
	m.Error = problem(s, err, read.samples)
	if content := (*decode.Error)(nil); errors.As(err, &content) {
		err = nil
	}
	return m, err
}

// fileOf describes the file as its decoder found it.
func fileOf(info decode.Info, sizeBytes int64) File {
	f := File{
		Format: info.Format, Codec: info.Codec, SampleRateHz: info.SampleRate,
		Channels: info.Channels, DurationS: None, SizeBytes: sizeBytes,
	}
	if info.BitDepth > 0 {
		f.BitDepth = &info.BitDepth
	}
	if info.BitrateKbps > 0 {
		f.BitrateKbps = &info.BitrateKbps
	}
	return f
}

// reader takes a stream through the meters.
type reader struct {
	s        decode.Stream
	rate     int
	samples  int64 // a channel, so far
	progress func(seconds float64)
}

// all reads to the end; nil means that there was nothing but audio up to it.
func (r *reader) all(ctx context.Context, channels int, meters []meter) error {
	buf, block := make([][]float32, channels), make([][]float32, channels)
	for c := range buf {
		buf[c] = make([]float32, blockSamples)
	}
	for reported := int64(0); ; {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := r.s.Read(buf)
		if n > 0 {
			for c := range block {
				block[c] = buf[c][:n]
			}
			for i := range meters {
				meters[i].write(block)
			}
			r.samples += int64(n)
		}
		if second := r.samples / int64(r.rate); second > reported && r.progress != nil {
			reported = second
			r.progress(float64(r.samples) / float64(r.rate))
		}
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
	}
}

// problem says what was wrong with the file: what ended the stream, else the
// first thing that was got over, else that it held no audio.
func problem(s decode.Stream, err error, samples int64) *Problem {
	var content *decode.Error
	switch {
	case errors.As(err, &content):
		return &Problem{reason.ProblemKind(content.Kind.String()), content.Text()}
	case err != nil:
		return &Problem{reason.ProblemUnreadable, err.Error()}
	}
	for _, f := range s.Faults() {
		if f.Kind == decode.Damaged || f.Kind == decode.Truncated {
			return &Problem{reason.ProblemKind(f.Kind.String()), f.Text()}
		}
	}
	if samples == 0 {
		return &Problem{reason.ProblemDamaged, "no audio in it"}
	}
	return nil
}

// newMeters lists everything that is measured.
func newMeters(info decode.Info) []meter {
	rate, channels := info.SampleRate, info.Channels
	loud := loudness.New(rate, loudness.Weights(channels, info.ChannelMask))
	peak := truepeak.New(rate, channels)
	spec := spectrum.New(rate, channels)
	low := lowend.Of(spec) // reads what spec is written
	bottom := kickMeter(spec, channels)
	meters := []meter{
		{loud.Write, func(m *Measurement) { m.Loudness = loudnessOf(loud.Result()) }},
		{peak.Write, func(m *Measurement) {
			putPeak(m, peak.Result())
			m.Limiting = limitingOf(loud, peak, rate)
		}},
		{spec.Write, func(m *Measurement) { putSpectrum(m, spec, low) }},
	}
	left, told := transferMeters(info)
	var beats []tempo.Beat
	music := append(musicMeters(info, &beats), edgeMeter(loud, low, &beats))
	return append(append(append(meters, left), music...), bottom, faultMeter(info), told, timeMeter(info))
}

func loudnessOf(r loudness.Result) Loudness {
	return Loudness{
		IntegratedLUFS:   Value(r.Integrated),
		Loudest30sLUFS:   Value(r.Loudest30),
		Loudest30sStartS: Value(r.Loudest30Start),
		Loudest30sOverS:  Value(r.Loudest30Over),
		ShortTermMaxLUFS: Value(r.ShortTermMax),
		MomentaryMaxLUFS: Value(r.MomentaryMax),
		RangeLU:          Value(r.Range),
		TimelineLUFS:     values(r.Timeline),
		TimelineStepS:    Value(r.TimelineStep),
	}
}

func putPeak(m *Measurement, r truepeak.Result) {
	m.Peak.TruePeakDBTP = Value(r.TruePeak)
	m.Peak.SamplePeakDBFS = Value(r.SamplePeak)
	m.Peak.PLRLU = Value(r.TruePeak) - m.Loudness.IntegratedLUFS
}

// loudestSeconds is the length of the part that is mixed into.
const loudestSeconds = 30

// putSpectrum measures over the loudest 30 s, which package loudness has
// found; over the whole track where there is no such part.
func putSpectrum(m *Measurement, spec *spectrum.Meter, low *lowend.Meter) {
	from, to := 0.0, float64(m.File.DurationS)
	if start := m.Loudness.Loudest30sStartS; start.Exists() {
		from, to = float64(start), min(to, float64(start)+loudestSeconds)
	}
	l := low.Over(from, to)
	m.LowEnd = LowEnd{Value(l.Low), Value(l.Sub), Value(l.Bass), Value(l.MonoLoss)}
	b := balance.Of(spec)
	m.Balance = Balance{Value(b.Low), Value(b.LowMid), Value(b.Mid), Value(b.Presence), Value(b.Treble), Value(b.Air), Value(b.SubShare), values(b.Thirds[:])}
	mid, side := spec.Sides(from, to)
	m.Spectrum = Spectrum{
		CentreHz:    slices.Clone(spectrum.Centres[:]),
		LoudestDB:   values(spec.Over(from, to)),
		WholeDB:     values(spec.Whole()),
		BandwidthHz: Value(spec.Bandwidth()),
	}
	if mid != nil {
		m.Spectrum.MidDB, m.Spectrum.SideDB = values(mid), values(side)
	}
	if w := width.Of(spec, from, to); w.Exists() {
		m.Width = &Width{Value(w.LowCorrelation), Value(w.Worst), Value(w.Hz), Value(w.At)}
	}
}

func values(x []float64) []Value {
	v := make([]Value, len(x))
	for i := range x {
		v[i] = Value(x[i])
	}
	return v
}
