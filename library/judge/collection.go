package judge

import (
	"fmt"
	"math"

	"github.com/cespare/xxhash/v2"

	"dubgauge/detect"
	"dubgauge/detect/faults"
	"dubgauge/detect/reason"
	"dubgauge/library/track"
)

// What is wrong with a track only beside others or for the stick that it lies on: names
// and sizes that FAT32 or exFAT cannot hold, a name that promises another format, the
// same file or the same audio twice.

// beside is what is held of a track to find that out, for each stick by itself: a copy on
// another is what a careful DJ has.
type beside struct {
	place  int // among all tracks
	stick  int
	id     int64
	path   string
	same   uint64 // hash of track.SameFile, 0 where that is empty
	sketch faults.Sketch
	alike
}

// alike are the figures that two tracks with the same audio share: see sameFigures.
type alike struct{ bpm, low, sub, bass, lra detect.Value }

func alikeOf(m *detect.Measurement) alike {
	return alike{m.Tempo.BPM, m.LowEnd.LowDB, m.LowEnd.SubDB, m.LowEnd.BassDB, m.Loudness.RangeLU}
}

func besideOf(place, stick int, t *track.Track) beside {
	b := beside{place: place, stick: stick, id: t.ID, path: t.Path, sketch: faults.NewSketch(t.Fingerprint), alike: alikeOf(&t.Measurement)}
	if same := t.SameFile(); same != "" {
		b.same = xxhash.Sum64String(same)
	}
	return b
}

// besideFaults are faults of tracks beside others, by the place of the track.
type besideFaults struct {
	clash, double map[int]detect.Fault
	twin          map[int]int64 // see track.Twin
}

// addClashes looks for paths of one stick that fall together.
func (f *besideFaults) addClashes(in []beside) {
	times := make(map[uint64]int, len(in))
	folds := make([]uint64, len(in))
	for i := range in {
		folds[i] = xxhash.Sum64String(track.FoldPath(in[i].path))
		times[folds[i]]++
	}
	var paths []string
	places := map[string]int{}
	for i := range in {
		if times[folds[i]] > 1 {
			paths = append(paths, in[i].path)
			places[in[i].path] = in[i].place
		}
	}
	for _, c := range clashes(paths) {
		f.clash[places[c.path]] = c.Fault
	}
}

// addDoubles tells the same file by its content, the same audio by its fingerprint. Each
// track names one other: the first, and the first the second.
func (f *besideFaults) addDoubles(in []beside, print Prints) {
	first := make(map[uint64]int, len(in))
	tell := func(a, b *beside, how string) {
		for _, pair := range [][2]*beside{{a, b}, {b, a}} {
			if _, told := f.double[pair[0].place]; !told {
				f.twin[pair[0].place] = a.id
				f.double[pair[0].place] = fault(reason.Duplicate, fmt.Sprintf("%s as %q", how, pair[1].path))
			}
		}
	}
	for i := range in {
		if in[i].same == 0 {
			continue
		}
		if at, known := first[in[i].same]; known {
			tell(&in[at], &in[i], "the same file")
		} else {
			first[in[i].same] = i
		}
	}
	for _, group := range faults.DuplicatesOf(len(in), func(i int) *faults.Sketch { return &in[i].sketch },
		func(i int) string { return print(in[i].place, in[i].id) }) {
		for _, i := range group[1:] {
			if a, b := &in[group[0]], &in[i]; sameFigures(&a.alike, &b.alike) {
				tell(a, b, "the same recording")
			}
		}
	}
}

// add adds to a track what is wrong with it beside others and for its stick.
func (f *besideFaults) add(place int, t *track.Track) {
	if why := pathProblem(t.Path); why != "" {
		t.AddFault(fault(reason.Name, why))
	}
	if clash, ok := f.clash[place]; ok {
		t.AddFault(clash)
	}
	t.NameEnding()
	if large, ok := tooLarge(t.Measurement.File.SizeBytes); ok {
		t.AddFault(large)
	}
	if double, ok := f.double[place]; ok {
		t.Twin = f.twin[place]
		t.AddFault(double)
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
func sameFigures(a, b *alike) bool {
	near := func(x, y detect.Value, tolerance float64) bool {
		return !x.Exists() || !y.Exists() || math.Abs(float64(x-y)) <= tolerance
	}
	return near(a.bpm, b.bpm, sameBPM) && near(a.low, b.low, sameLow) && near(a.sub, b.sub, sameLow) &&
		near(a.bass, b.bass, sameLow) && near(a.lra, b.lra, sameLRA)
}
