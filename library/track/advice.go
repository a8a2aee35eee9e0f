package track

import (
	"dubgauge/detect"
	"dubgauge/detect/advice"
)

// Advice says what to change in the spectrum of t beside those of its group.
func (t *Track) Advice(group []Spectrum) advice.Advice {
	spectra := make([]detect.Spectrum, len(group))
	levels := make([]detect.Value, len(group))
	kicks := make([]*detect.Kick, len(group))
	for i, g := range group {
		spectra[i], levels[i], kicks[i] = g.Spectrum, g.Level, g.Kick
	}
	var said []advice.Said
	for _, m := range t.Tone {
		if m.Hz > 0 {
			said = append(said, advice.Said{Filter: m.Filter, Hz: float64(m.Hz), Off: float64(m.DB)})
		}
	}
	a := advice.Of(t.Spectrum, t.Loudness.Loudest30sLUFS, spectra, levels, said...)
	a.Sides = advice.SidesOf(t.Measurement.File.Channels, t.Spectrum, t.Loudness.Loudest30sLUFS, spectra, levels)
	a.Bottom = advice.BottomOf(t.Kick, kicks)
	return a
}
