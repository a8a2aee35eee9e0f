package detect

import (
	"slices"

	"dubgauge/decode"
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/detect/transfer"
)

// transferMeter looks for what turntable, tape and cable have left. It must come after
// the tempo, by which clicks are told from percussion, and after the faults: where a
// record clicks all along, single clicks are no faults of their own.
func transferMeter(info decode.Info) meter {
	t := transfer.New(info.SampleRate, info.Channels)
	return meter{t.Write, func(m *Measurement) {
		beat := transfer.Beat{BPM: float64(m.Tempo.BPM), Confidence: float64(m.Tempo.Confidence)}
		var found []faults.Fault
		for _, f := range t.Result(beat) {
			if f.Kind == reason.Clicks || f.Kind == reason.ClicksFew {
				m.Faults = slices.DeleteFunc(m.Faults, func(o Fault) bool { return o.Kind == string(reason.Click) })
			}
			found = append(found, faults.Fault{Kind: f.Kind, Detail: f.Detail, At: f.At})
		}
		if t.Crackles() {
			single(m.Faults)
		}
		m.addFaults(found)
	}}
}

// single turns single clicks into a note: the track crackles.
func single(faults []Fault) {
	for i := range faults {
		if faults[i].Kind == string(reason.Click) {
			faults[i].Kind = string(reason.ClicksFew)
		}
	}
}
