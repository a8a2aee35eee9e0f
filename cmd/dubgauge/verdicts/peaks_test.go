package main

import (
	"strings"
	"testing"

	"dubgauge/detect"
)

// peaked is a record with these peaks: the share that is flat, and by how much the signal passes the samples.
func peaked(s Spec, flat, over detect.Value) *Record {
	r := &Record{Spec: s, Measurement: detect.Empty()}
	r.Measurement.Limiting = &detect.Limiting{FlatShare: flat}
	r.Measurement.Peak.TruePeakDBTP, r.Measurement.Peak.SamplePeakDBFS = over-0.3, -0.3
	return r
}

// By hand: 10 log10((0.018 + 0.002) / (0.078 + 0.002)) = -6.02 and with 0.038 -3.01: their middle is
// -4.52 and their standard deviation 1.51; over the samples -0.2 and -0.4.
func TestPeaksTable(t *testing.T) {
	const defect = "low shelf 100 Hz -6 (master)"
	b := &bench{spoilt: map[Spec][]*Record{}}
	for seed, flat := range []detect.Value{0.018, 0.038} {
		s := Spec{Genre: "house", Seed: uint64(seed)}
		b.songs = append(b.songs, peaked(s, 0.078, 1))
		s.Defect = defect
		b.spoilt[s.song()] = []*Record{peaked(s, flat, detect.Value(0.8-0.2*float64(seed)))}
	}
	unknown := Spec{Genre: "house", Seed: 9}
	b.songs = append(b.songs, &Record{Spec: unknown, Measurement: detect.Empty()})
	b.spoilt[unknown] = []*Record{{Spec: Spec{Genre: "house", Seed: 9, Defect: defect}, Measurement: detect.Empty()}}
	var out strings.Builder
	printPeaks(&out, b)
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != 3 || !strings.HasPrefix(lines[2], defect) || strings.Join(strings.Fields(lines[2][len(defect):]), " ") != "2 -4.52 (1.51) -0.30 (0.10)" {
		t.Errorf("%q", lines)
	}
}
