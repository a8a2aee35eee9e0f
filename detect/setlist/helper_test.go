package setlist

import (
	"math/rand/v2"

	"dubgauge/detect"
	"dubgauge/detect/key"
)

// madeUp is a track with the figures that matter; what is not said is the same for all.
func madeUp(lufs, bpm float64, name string) Track {
	p := Part{LUFS: detect.Value(lufs), SubDB: -3, BassDB: 0, Beat: true, Covered: 1, FromS: 60, ToS: 90}
	k := parsed(name)
	t := Track{Loudest: p, Start: p, End: p, Ends: true, BPM: detect.Value(bpm), EndBPM: detect.Value(bpm), TempoConfidence: 1,
		Key: k, EndKey: k, KeyName: k.String(), EndKeyName: k.String(), KeyConfidence: 1, TruePeakDBTP: -1}
	t.Start.LUFS -= 3
	t.End.LUFS -= 3
	return t
}

// random is a track of a random kind; some lack a figure.
func random(r *rand.Rand) Track {
	k := key.Key{Tonic: r.IntN(12), Mode: key.Mode(r.IntN(2))}
	t := madeUp(-8+2*r.NormFloat64(), 100+40*r.Float64(), k.String())
	for _, p := range []*Part{&t.Loudest, &t.Start, &t.End} {
		p.SubDB, p.BassDB = detect.Value(3*r.NormFloat64()), detect.Value(2*r.NormFloat64())
		p.LUFS += detect.Value(r.NormFloat64())
	}
	t.TempoConfidence, t.KeyConfidence = detect.Value(r.Float64()), detect.Value(r.Float64())
	switch r.IntN(12) {
	case 0:
		t.BPM = detect.None
	case 1:
		t.Key, t.KeyName = key.NoKey, ""
	case 2:
		t.Start.LUFS = detect.None
	}
	return t
}

func randoms(r *rand.Rand, n int) []Track {
	all := make([]Track, n)
	for i := range all {
		all[i] = random(r)
		all[i].ID = int64(i)
	}
	return all
}
