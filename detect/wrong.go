package detect

import (
	"cmp"
	"slices"

	"dubgauge/decode"
	"dubgauge/detect/continuity"
	"dubgauge/detect/faults"
)

// faultMeter looks for what is wrong with the audio or unfit for players.
func faultMeter(info decode.Info) meter {
	f := faults.New(info)
	return meter{f.Write, func(m *Measurement) {
		r := f.Result()
		m.Peak.ClippedRuns = r.ClippedRuns
		m.Fingerprint = r.Fingerprint
		m.addFaults(r.Faults)
	}}
}

// timeMeter looks for what breaks off in the course of the track. It goes by the beat,
// so that its meter comes after that of the tempo.
func timeMeter(info decode.Info) meter {
	c := continuity.New(info.SampleRate, info.Channels)
	return meter{c.Write, func(m *Measurement) {
		var fs []faults.Fault
		for _, f := range c.Result(continuity.Grid{
			BPM: float64(m.Tempo.BPM), FirstBeat: float64(m.Tempo.FirstBeatS), Confidence: float64(m.Tempo.Confidence),
			FirstBar: float64(m.Tempo.FirstDownbeatS), BarKnown: m.Tempo.FirstDownbeatS.Exists(),
		}) {
			fs = append(fs, faults.Fault{Kind: f.Kind, Detail: f.Detail, At: f.At})
		}
		m.addFaults(fs)
	}}
}

// addFaults keeps the order of the track, faults of the whole of it first.
func (m *Measurement) addFaults(fs []faults.Fault) {
	for _, f := range fs {
		m.Faults = append(m.Faults, Fault{Kind: string(f.Kind), Detail: f.Detail, AtS: Value(f.At), Count: f.Count})
	}
	slices.SortStableFunc(m.Faults, func(a, b Fault) int { return cmp.Compare(a.AtS, b.AtS) }) // NaN comes first
}

// streamFaults are what the decoder got over, each with its place.
func streamFaults(s decode.Stream) []faults.Fault {
	var out []faults.Fault
	for _, e := range s.Faults() {
		out = append(out, faults.FromStream(e))
	}
	return out
}
