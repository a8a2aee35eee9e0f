package continuity

import (
	"encoding/binary"
	"math"
	"strings"
	"testing"
)

// Whatever the samples, rate and channels: no panic, a bounded list of findings, finite
// figures, times inside the track.
func FuzzMeter(f *testing.F) {
	f.Add(2, 44100, 120.0, 0.1, []byte("\x00\x00\x80\x7f\x00\x00\xc0\x7f\x00\x00\x00\x3f\x00\x00\x00\x00"))
	f.Add(1, 8000, math.NaN(), 0.0, []byte("\xff\xff\x7f\x7f\x00\x00\x80\xff\x00\x00\x00\xbf"))
	f.Add(6, math.MaxInt32, 1e9, math.Inf(1), []byte("\x01\x02\x03\x04\x05\x06\x07\x08"))
	f.Add(0, -5, -3.0, 2.0, []byte("\x00\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, channels, rate int, bpm, first float64, b []byte) {
		var x []float32
		for b = b[:min(len(b), 400)]; len(b) >= 4; b = b[4:] {
			v := math.Float32frombits(binary.LittleEndian.Uint32(b))
			for range 1 + 37*int(b[0]) { // some of each, so that there are stretches
				x = append(x, v)
				v = -v * 0.999
			}
		}
		if len(x) == 0 {
			return
		}
		audio := make([][]float32, 1+channels&3)
		for c := range audio {
			at := c * len(x) / len(audio)
			audio[c] = append(append([]float32{}, x[at:]...), x[:at]...)
		}
		got := run(audio, rate, Grid{BPM: bpm, FirstBeat: first, Confidence: 1})
		if len(got) > 2*maxGaps+maxForeign+maxRepeats+50 {
			t.Errorf("%d findings", len(got))
		}
		end := float64(len(x)) / float64(max(1, rate))
		for _, f := range got {
			if math.IsNaN(f.Figure) || math.IsInf(f.Figure, 0) || f.Detail == "" || strings.Contains(f.Detail, "NaN") || strings.Contains(f.Detail, "Inf") {
				t.Errorf("%+v", f)
			}
			if !math.IsNaN(f.At) && !(f.At >= 0 && f.Until >= f.At && f.Until <= end*1.001+blockSeconds) {
				t.Errorf("%+v lies outside of %g s", f, end)
			}
		}
	})
}
