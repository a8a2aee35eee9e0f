package words

import (
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/coded"
	"dubgauge/detect/crest"
	"dubgauge/library"
)

// ShortEncoding names an encoding in a label.
func ShortEncoding(e coded.Encoding) string {
	return map[coded.Encoding]string{coded.MP3320: "MP3 320", coded.AAC256: "AAC 256"}[e]
}

// ByBand says how far the peaks of t stand over its loudness in each band.
func (s Style) ByBand(l *coded.Look, t *library.Track) string {
	line := fmt.Sprintf("peak to loudness %s below %.0f Hz, %s up to %.0f kHz, %s above", s.Figure(l.Ratios.Low, "LU"), crest.LowHz,
		s.Figure(l.Ratios.Mid, "LU"), crest.HighHz/1000, s.Figure(l.Ratios.High, "LU"))
	if t.Limiting != nil && t.Limiting.FlatShare.Exists() {
		line += fmt.Sprintf("; %.0f %% touches the top", 100*float64(t.Limiting.FlatShare))
	}
	return line
}

// Copy says what encoding does to the true peak, and what keeps a copy under full scale.
func (s Style) Copy(c *coded.Copy) string {
	peak := func(v detect.Value) string { return s.Change(v, "dBTP") }
	if !c.After.Exists() {
		return s.unmeasured(c)
	}
	said := fmt.Sprintf("true peak %s before, %s after", peak(c.Before), peak(c.After))
	if c.After <= 0 {
		return said + ": under full scale"
	}
	return said + fmt.Sprintf(": a ceiling of %s keeps a copy under full scale", peak(c.Ceiling))
}

// unmeasured says what to expect where no encoder could be asked.
func (s Style) unmeasured(c *coded.Copy) string {
	said := fmt.Sprintf("not measured (%s); of masters like it few rise by more than %.1f dB: true peak up to %s",
		Printable(c.Problem), c.Expected-c.Before, s.Change(c.Expected, "dBTP"))
	if !c.Ceiling.Exists() {
		return said + "; only measuring tells a ceiling"
	}
	return said + fmt.Sprintf("; a ceiling of %s is on the safe side", s.Change(c.Ceiling, "dBTP"))
}

// ExpectedCopy says what the true peak of a track is likely to become in a copy; empty of silence.
func (s Style) ExpectedCopy(t *library.Track, e coded.Encoding) string {
	p := float64(t.Peak.TruePeakDBTP)
	if math.IsNaN(p) {
		return ""
	}
	return fmt.Sprintf("true peak up to %s expected, nine times of ten", s.Change(detect.Value(e.Expected(p, coded.TopOf(&t.Spectrum))), "dBTP"))
}
