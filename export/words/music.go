package words

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/library"
)

// sure says how sure a figure is whose confidence lies between 0 and 1.
func (s Style) sure(confidence detect.Value) string {
	switch {
	case !confidence.Exists():
		return ""
	case s.detail:
		return fmt.Sprintf(", %.0f %% sure", 100*float64(confidence))
	case confidence >= 0.8:
		return ", sure"
	case confidence >= 0.5:
		return ", fairly sure"
	}
	return ", unsure"
}

// bpm writes a tempo: to the tenth, or as measured.
func (s Style) bpm(v detect.Value) string {
	if s.detail && v.Exists() {
		return strings.TrimSuffix(strings.TrimRight(s.Number(v, 2), "0"), ".")
	}
	return s.Number(v, 1)
}

// Tempo says a track's tempo.
func (s Style) Tempo(t *library.Track) string {
	m := &t.Measurement.Tempo
	if !m.BPM.Exists() {
		if t.Tags.BPM != nil {
			return s.bpm(detect.Value(*t.Tags.BPM)) + " BPM by its tag; none measured" + s.stop
		}
		return "No tempo found" + s.stop
	}
	text := s.bpm(m.BPM) + " BPM" + s.sure(m.Confidence)
	if m.AlternativeBPM.Exists() {
		text += "; may be felt as " + s.bpm(m.AlternativeBPM)
	}
	if m.ChangeAtS.Exists() && m.ChangeToBPM > 0 {
		text += "; changes from " + s.bpm(m.ChangeFromBPM) + " to " + s.bpm(m.ChangeToBPM) + " at " + s.Clock(m.ChangeAtS)
		for _, c := range m.Changes[min(1, len(m.Changes)):] {
			text += ", to " + s.bpm(c.ToBPM) + " at " + s.Clock(c.AtS)
		}
	} else {
		text += s.drift(m.DriftPercent, m.DriftFromS)
	}
	return text + s.beats(m) + s.tagTempo(t) + s.stop
}

// beats says where the beat and a bar begin, and how late the off-beats are.
func (s Style) beats(m *detect.Tempo) (text string) {
	if m.FirstBeatS.Exists() {
		decimals := 2
		if s.detail {
			decimals = 3
		}
		text += "; first beat at " + s.Number(m.FirstBeatS, decimals) + " s"
		if s.detail {
			text += s.sureIfKnown(m.BeatConfidence)
		}
		if m.BeatInDoubt() {
			text += ", or half a beat off"
		}
	}
	if s.detail && m.FirstDownbeatS.Exists() && m.DownbeatConfidence > 0 {
		text += "; a bar begins at " + s.Number(m.FirstDownbeatS, 3) + " s" + s.sure(m.DownbeatConfidence)
	}
	if s.detail && m.SwingPercent.Exists() {
		text += "; swing " + s.Number(m.SwingPercent, 0) + " %" + s.sureIfKnown(m.SwingConfidence)
	}
	if s.detail && m.EighthSwingPercent > 0 {
		text += "; swing of eighths " + s.Number(m.EighthSwingPercent, 0) + " %" + s.sureIfKnown(m.EighthSwingConfidence)
	}
	return text
}

// sureIfKnown is empty for a confidence of 0, which records of older versions have.
func (s Style) sureIfKnown(confidence detect.Value) string {
	if confidence == 0 {
		return ""
	}
	return s.sure(confidence)
}

// drift in per cent, from where it begins; less than 0.05 % is not worth a word.
func (s Style) drift(percent, from detect.Value) string {
	d := math.Abs(float64(percent))
	if !(d >= 0.05) {
		return ""
	}
	text := fmt.Sprintf("; drifts by %.1f %%", d)
	if from.Exists() && from > 0 {
		text += " from " + s.Clock(from)
	}
	return text
}

// sameTempo is how far a tag may lie from what was measured and still say the
// same, as a ratio: tags are often rounded.
const sameTempo = 0.02

// tagTempo names the tag's tempo when it is another.
func (s Style) tagTempo(t *library.Track) string {
	if !s.detail || t.Tags.BPM == nil {
		return ""
	}
	if tag, measured := *t.Tags.BPM, float64(Tempo(t)); math.Abs(tag-measured) < measured*sameTempo {
		return ""
	}
	return fmt.Sprintf("; the tag says %g", *t.Tags.BPM)
}

// Key says a track's key.
func (s Style) Key(t *library.Track) string {
	k := t.Measurement.Key
	if k == nil {
		if t.Tags.Key != "" {
			return s.text(t.Tags.Key) + " by its tag; none measured" + s.stop
		}
		return "No key found" + s.stop
	}
	text := s.text(k.Name) + s.sure(k.Confidence)
	if k.RunnerUp != "" {
		text += "; else " + s.text(k.RunnerUp)
	}
	for _, c := range k.Changes {
		if c.AtS.Exists() {
			text += "; changes from " + s.text(c.From) + " to " + s.text(c.To) + " at " + s.Clock(c.AtS)
		}
	}
	worth := detect.Value(5) // cents, under which a page says nothing; our judgement, no source
	if s.detail {
		worth = 1
	}
	switch {
	case k.TuningCents >= worth:
		text += "; tuned " + s.Number(k.TuningCents, 0) + " cents sharp"
	case k.TuningCents <= -worth:
		text += "; tuned " + s.Number(-k.TuningCents, 0) + " cents flat"
	}
	if s.detail && t.Tags.Key != "" {
		text += "; the tag says " + s.text(t.Tags.Key)
	}
	return text + s.stop
}
