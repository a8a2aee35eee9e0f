package detect

import (
	"slices"

	"dubgauge/decode"
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/detect/transfer"
)

// transferMeters look for what turntable, tape and cable have left. The first takes the
// track in, and lets go of most of it as soon as it is over; the tempo's own work needs as
// much. The second must come after the tempo, by which clicks are told from percussion,
// and after the faults: where a record clicks all along, single clicks are no faults of
// their own.
func transferMeters(info decode.Info) (first, last meter) {
	t := transfer.New(info.SampleRate, info.Channels)
	first = meter{t.Write, func(*Measurement) { t.Settle() }}
	return first, meter{func([][]float32) {}, func(m *Measurement) {
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
