package detect

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"dubgauge/decode"
)

// fakeStream plays samples in blocks, then ends with err.
type fakeStream struct {
	info    decode.Info
	samples [][]float32
	pos     int
	err     error
	faults  []decode.Error
}

func (s *fakeStream) Info() decode.Info { return s.info }
func (s *fakeStream) Close() error      { return nil }

func (s *fakeStream) Faults() []decode.Error { return s.faults }

func (s *fakeStream) Read(dst [][]float32) (int, error) {
	n := 0
	for c := range dst {
		n = copy(dst[c], s.samples[c][s.pos:])
	}
	s.pos += n
	if n == 0 {
		return 0, s.err
	}
	return n, nil
}

// play is a stream of the given samples that ends with err.
func play(rate int, err error, samples ...[]float32) *fakeStream {
	return &fakeStream{
		info:    decode.Info{Format: "wav", Codec: "pcm_s16", SampleRate: rate, Channels: len(samples), BitDepth: 16, Frames: int64(len(samples[0]))},
		samples: samples, err: err,
	}
}

// tone is a sine.
func tone(rate int, seconds, hz, amplitude float64) []float32 {
	x := make([]float32, int(seconds*float64(rate)))
	for i := range x {
		x[i] = float32(amplitude * math.Sin(2*math.Pi*hz*float64(i)/float64(rate)))
	}
	return x
}

// Expected figures of a 1 kHz sine at -23 dBFS in both channels: EBU Tech
// 3341 case 1 for the loudness, arithmetic for the rest.
func TestAnalyzeTone(t *testing.T) {
	const tolerance = 0.1 // EBU Tech 3341
	left := tone(48000, 20, 1000, math.Pow(10, -23.0/20))
	var seconds []float64
	m, err := Analyze(context.Background(), play(48000, io.EOF, left, left), 123, func(s float64) { seconds = append(seconds, s) })
	if err != nil || m.Error != nil {
		t.Fatal(err, m.Error)
	}
	checks := []struct {
		name      string
		got, want Value
	}{
		{"integrated", m.Loudness.IntegratedLUFS, -23},
		{"loudest 30 s", m.Loudness.Loudest30sLUFS, -23},
		{"loudest start", m.Loudness.Loudest30sStartS, 0},
		{"short-term", m.Loudness.ShortTermMaxLUFS, -23},
		{"momentary", m.Loudness.MomentaryMaxLUFS, -23},
		{"range", m.Loudness.RangeLU, 0},
		{"true peak", m.Peak.TruePeakDBTP, -23},
		{"sample peak", m.Peak.SamplePeakDBFS, -23},
		{"plr", m.Peak.PLRLU, 0},
		{"1 kHz band", m.Spectrum.WholeDB[17], -23},
		{"1 kHz band, loudest", m.Spectrum.LoudestDB[17], -23},
		{"mono loss", m.LowEnd.MonoLossDB, 0},
		{"duration", m.File.DurationS, 20},
		{"timeline step", m.Loudness.TimelineStepS, 0.1},
		{"timeline middle", m.Loudness.TimelineLUFS[100], -23},
	}
	for _, c := range checks {
		if !(math.Abs(float64(c.got-c.want)) <= tolerance) {
			t.Errorf("%s: got %.3f, want %.3f", c.name, c.got, c.want)
		}
	}
	if len(seconds) < 18 || len(seconds) > 20 {
		t.Errorf("progress was called %d times in 20 s", len(seconds))
	}
}

func TestAnalyzeErrors(t *testing.T) {
	x := tone(44100, 2, 100, 0.5)
	medium := errors.New("input/output error")
	damaged := decode.Error{Kind: decode.Damaged, Detail: "bad frame", Offset: 10, At: 1}
	tests := []struct {
		name     string
		end      error
		faults   []decode.Error
		samples  []float32
		wantKind string
		wantErr  error
	}{
		{"whole", io.EOF, nil, x, "", nil},
		{"damaged", &damaged, nil, x, "damaged", nil},
		{"got over", io.EOF, []decode.Error{{Kind: decode.Unsupported}, {Kind: decode.Truncated, Detail: "no last page"}}, x, "truncated", nil},
		{"got over, whole", io.EOF, []decode.Error{{Kind: decode.Unsupported, Detail: "an odd form"}}, x, "", nil},
		{"medium", medium, nil, x, "unreadable", medium},
		{"no audio", io.EOF, nil, nil, "damaged", nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := play(44100, tt.end, tt.samples)
			s.faults = tt.faults
			m, err := Analyze(context.Background(), s, 1, nil)
			if !errors.Is(err, tt.wantErr) {
				t.Errorf("error %v, want %v", err, tt.wantErr)
			}
			kind := ""
			if m.Error != nil {
				kind = string(m.Error.Kind)
			}
			if m.Error != nil && strings.Contains(m.Error.Kind.Sentence(m.Error.Detail), kind+": "+kind) {
				t.Errorf("the kind is said twice: %q", m.Error.Detail)
			}
			if m.Error != nil && strings.HasPrefix(m.Error.Detail, kind+":") {
				t.Errorf("the detail %q says the kind, which stands beside it", m.Error.Detail)
			}
			if kind != tt.wantKind {
				t.Errorf("kind %q, want %q", kind, tt.wantKind)
			}
			if got := m.Peak.SamplePeakDBFS.Exists(); got != (len(tt.samples) > 0) {
				t.Errorf("sample peak exists: %v", got)
			}
		})
	}
}

func TestAnalyzeStopsWithContext(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	x := tone(44100, 60, 100, 0.5)
	m, err := Analyze(ctx, play(44100, io.EOF, x), 1, func(float64) { cancel() })
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	if m.File.DurationS > 2 {
		t.Errorf("went on for %.1f s after it was cancelled", m.File.DurationS)
	}
}
