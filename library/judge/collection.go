package judge

import (
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/library/track"
)

// addCollectionFaults adds to the tracks that take part what is wrong with them
// only beside others or for the stick that they lie on: names and sizes that
// FAT32 or exFAT cannot hold, a name that promises another format, the same file or the same audio twice.
func addCollectionFaults(tracks []track.Track) {
	var in []*track.Track
	for i := range tracks {
		if tracks[i].TakesPart() {
			in = append(in, &tracks[i])
		}
	}
	addNameFaults(in)
	for _, t := range in {
		t.NameEnding()
		if f, ok := tooLarge(t.Measurement.File.SizeBytes); ok {
			t.AddFault(f)
		}
	}
	addDuplicates(in)
}

// addNameFaults looks at the names of each library for itself.
func addNameFaults(in []*track.Track) {
	byRoot := map[string]map[string]*track.Track{}
	paths := map[string][]string{}
	for _, t := range in {
		if byRoot[t.Root] == nil {
			byRoot[t.Root] = map[string]*track.Track{}
		}
		byRoot[t.Root][t.Path] = t
		paths[t.Root] = append(paths[t.Root], t.Path)
	}
	for root, list := range paths {
		for _, f := range names(list) {
			byRoot[root][f.path].AddFault(f.Fault)
		}
	}
}

// addDuplicates looks for doubles on each stick for itself: a copy on another is what
// a careful DJ has.
func addDuplicates(in []*track.Track) {
	byRoot := map[string][]*track.Track{}
	for _, t := range in {
		byRoot[t.Root] = append(byRoot[t.Root], t)
	}
	for _, there := range byRoot {
		addDoubles(there)
	}
}

// addDoubles tells the same file by its content, the same audio by its
// fingerprint. Each track names one other: the first, and the first the second.
func addDoubles(in []*track.Track) {
	first := make(map[string]*track.Track, len(in))
	told := make(map[*track.Track]bool)
	tell := func(a, b *track.Track, how string) {
		for _, pair := range [][2]*track.Track{{a, b}, {b, a}} {
			if t := pair[0]; !told[t] {
				told[t] = true
				t.Twin = a.ID
				t.AddFault(fault(reason.Duplicate, fmt.Sprintf("%s as %q", how, pair[1].Path)))
			}
		}
	}
	prints := make([]string, len(in))
	for i, t := range in {
		prints[i] = t.Fingerprint
		same := t.SameFile()
		if same == "" {
			continue
		}
		if f := first[same]; f != nil {
			tell(f, t, "the same file")
		} else {
			first[same] = t
		}
	}
	for _, group := range faults.Duplicates(prints) {
		for _, i := range group[1:] {
			if a, b := in[group[0]], in[i]; sameFigures(a, b) {
				tell(a, b, "the same audio")
			}
		}
	}
}

// How far the figures of the same audio may lie apart after a lossy encode and at
// another level: codecs leave the tempo and the low end alone. Measured on
// encodes at 128 kbit/s and up; two tracks of one style and length differ by more
// in at least one of these.
const (
	sameBPM = 0.1 // BPM
	sameLow = 0.3 // dB, of low end, sub and bass
	sameLRA = 0.5 // LU
)

// sameFigures bears out what the fingerprints say: these hold few features a
// second, and steady tracks of one style can be alike in them.
func sameFigures(a, b *track.Track) bool {
	p, q := &a.Measurement, &b.Measurement
	near := func(x, y detect.Value, tolerance float64) bool {
		return !x.Exists() || !y.Exists() || math.Abs(float64(x-y)) <= tolerance
	}
	return near(p.Tempo.BPM, q.Tempo.BPM, sameBPM) && near(p.LowEnd.LowDB, q.LowEnd.LowDB, sameLow) &&
		near(p.LowEnd.SubDB, q.LowEnd.SubDB, sameLow) && near(p.LowEnd.BassDB, q.LowEnd.BassDB, sameLow) &&
		near(p.Loudness.RangeLU, q.Loudness.RangeLU, sameLRA)
}
