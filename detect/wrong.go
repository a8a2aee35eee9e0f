package detect

import (
	"cmp"
	"slices"

	"dubgauge/decode"
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

// addFaults keeps the order of the track, faults of the whole of it first.
func (m *Measurement) addFaults(fs []faults.Fault) {
	for _, f := range fs {
		m.Faults = append(m.Faults, Fault{Kind: string(f.Kind), Detail: f.Detail, AtS: Value(f.At)})
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
