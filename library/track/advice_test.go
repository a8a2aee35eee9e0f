package track

import (
	"math"
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/spectrum"
	"dubgauge/detect/standout"
)

// TestAdvice: a track is held against the spectra, levels and kicks of its group, and what
// its verdict has named is among the moves.
func TestAdvice(t *testing.T) {
	own := Track{}
	own.Measurement = detect.Empty()
	own.Measurement.File.Channels = 2
	own.Loudness.Loudest30sLUFS = -6
	var group []Spectrum
	for _, hz := range spectrum.Centres {
		own.Spectrum.LoudestDB = append(own.Spectrum.LoudestDB, detect.Value(-12-3*math.Abs(math.Log2(hz/60))))
	}
	for i := range 9 {
		s := Spectrum{Level: -8, Kick: &detect.Kick{OverBassDB: 4, DipDB: 8}}
		for b := range spectrum.Centres {
			s.LoudestDB = append(s.LoudestDB, own.Spectrum.LoudestDB[b]-2+detect.Value(i-4)/8)
		}
		group = append(group, s)
	}
	own.Kick = &detect.Kick{OverBassDB: 0, DipDB: 8}
	if a := own.Advice(group); len(a.Moves) != 0 || a.References != 9 || a.Sides == nil || !a.Sides.Missing || !slices.Equal(a.Bottom.Codes, []string{reason.KickBuried}) {
		t.Errorf("%+v, %+v, %+v", a.Moves, a.Sides, a.Bottom)
	}
	own.Tone = []standout.Move{{Code: reason.Muddy, DB: 4, Filter: reason.Bell, Hz: 350}, {Code: reason.Harsh, DB: 5}} // of an older version, without a filter
	if a := own.Advice(group); len(a.Moves) != 1 || a.Moves[0].DB != -4 || math.Abs(float64(a.Moves[0].Hz)-350) > 1 {
		t.Errorf("%+v", a.Moves)
	}
	own.Unlike = true
	if a := own.Advice(group); len(a.Moves) != 1 || len(a.Bottom.Codes) == 0 {
		t.Errorf("unlike its references, but named: %+v, %+v", a.Moves, a.Bottom)
	}
	own.Tone = nil
	if a := own.Advice(group); len(a.Moves) != 0 || len(a.Bottom.Codes) != 0 {
		t.Errorf("unlike its references: %+v, %+v", a.Moves, a.Bottom)
	}
}
