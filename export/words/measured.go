package words

import (
	"cmp"
	"fmt"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/library"
)

// File says what kind of file a track is.
func (s Style) File(t *library.Track) string {
	f := &t.Measurement.File
	var parts []string
	add := func(text string, ok bool) {
		if ok {
			parts = append(parts, text)
		}
	}
	format := strings.ToUpper(s.text(f.Format))
	if s.detail && f.Codec != "" {
		format += " (" + s.text(f.Codec) + ")"
	}
	add(format, f.Format != "")
	if f.BitDepth != nil {
		add(fmt.Sprintf("%d bit", *f.BitDepth), true)
	}
	if f.BitrateKbps != nil {
		add(fmt.Sprintf("%d kbit/s", *f.BitrateKbps), true)
	}
	add(s.kilohertz(f.SampleRateHz), f.SampleRateHz > 0)
	add(channels(f.Channels), f.Channels > 0)
	add(s.Clock(f.DurationS), f.DurationS.Exists())
	add(fmt.Sprintf("%.1f MB", float64(f.SizeBytes)/1e6), f.SizeBytes > 0)
	if len(parts) == 0 {
		return "not known"
	}
	return strings.Join(parts, ", ")
}

func (s Style) kilohertz(rate int) string {
	if s.detail {
		return fmt.Sprintf("%g kHz", float64(rate)/1000)
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", float64(rate)/1000), ".0") + " kHz"
}

func channels(n int) string {
	switch n {
	case 1:
		return "mono"
	case 2:
		return "stereo"
	}
	return Counted(n, "channel")
}

// MonoLoss says what the low end loses in mono, in dB.
func (s Style) MonoLoss(v detect.Value) string {
	if reason.NothingLeft(float64(v)) {
		return "nothing left below 150 Hz"
	}
	return s.Change(v, "dB") + " below 150 Hz"
}

// Fault is a fault in a line, with its place.
func (s Style) Fault(f detect.Fault) string {
	text := s.text(cmp.Or(f.Detail, reason.Kind(f.Kind).Reason()))
	if f.AtS.Exists() {
		text += ", at " + s.Clock(f.AtS)
	}
	return text
}

// Others are the figures of a track that are not judged, in one line.
func Others(t *library.Track) string {
	var parts []string
	add := func(what string, v detect.Value, unit string) {
		if v.Exists() {
			parts = append(parts, what+" "+Page.Figure(v, unit))
		}
	}
	l, p := &t.Loudness, &t.Peak
	add("integrated", l.IntegratedLUFS, "LUFS")
	add("short-term maximum", l.ShortTermMaxLUFS, "LUFS")
	add("momentary maximum", l.MomentaryMaxLUFS, "LUFS")
	add("range", l.RangeLU, "LU")
	add("true peak", p.TruePeakDBTP, "dBTP")
	add("peak to loudness", p.PLRLU, "LU")
	if p.ClippedRuns > 0 {
		parts = append(parts, Counted(p.ClippedRuns, "clipped run"))
	}
	if len(parts) == 0 {
		return ""
	}
	return Capital(strings.Join(parts, ", ")) + "."
}
