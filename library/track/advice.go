package track

import (
	"dubgauge/detect"
	"dubgauge/detect/advice"
)

// Advice says what to change in the spectrum of t beside those of its group; of a track that no
// reference is like only where its verdict names something all the same.
func (t *Track) Advice(group []Spectrum) advice.Advice {
	spectra := make([]detect.Spectrum, len(group))
	levels := make([]detect.Value, len(group))
	kicks := make([]*detect.Kick, len(group))
	for i, g := range group {
		spectra[i], levels[i], kicks[i] = g.Spectrum, g.Level, g.Kick
	}
	unlike := t.Unlike && len(t.Tone) == 0
	v := advice.Verdict{Judged: !unlike, Unlike: unlike}
	for _, m := range t.Tone {
		if m.Hz > 0 {
			v.Said = append(v.Said, advice.Said{Filter: m.Filter, Hz: float64(m.Hz), Off: float64(m.DB)})
		}
	}
	a := advice.After(v, t.Spectrum, t.Loudness.Loudest30sLUFS, spectra, levels)
	a.Sides = advice.SidesOf(t.Measurement.File.Channels, t.Spectrum, t.Loudness.Loudest30sLUFS, spectra, levels)
	if unlike {
		kicks = nil
	}
	a.Bottom = advice.BottomOf(t.Kick, kicks)
	return a
}
