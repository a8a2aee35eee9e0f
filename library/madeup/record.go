package madeup

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"

	"dubgauge/detect"
	"dubgauge/library/track"
)

// Record is a record as a measured track of a mixed library might have; four in
// five are released.
func Record(rng *rand.Rand, i int) track.Record {
	v := func(mean, spread float64) detect.Value { return detect.Value(mean + spread*rng.NormFloat64()) }
	r := track.Record{Measurement: detect.Empty()}
	r.Tags.Title, r.Tags.Artist = fmt.Sprintf("Some Title %d (Original Mix)", i), fmt.Sprintf("Artist %d", i%700)
	r.Tags.Album, r.Tags.Genre, r.Tags.Key = "Some Album", "House", "Am"
	if i%5 > 0 {
		r.Tags.ISRC, r.Tags.Label, r.Tags.Year = "QZABC2600001", "Invented Records", 2020
	}
	bits := 16
	r.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s16", SampleRateHz: 44100, Channels: 2, BitDepth: &bits, DurationS: v(300, 60)}
	r.Loudness = detect.Loudness{
		IntegratedLUFS: v(-9, 1.2), Loudest30sLUFS: v(-7.5, 1), Loudest30sStartS: v(90, 20), Loudest30sOverS: 30, ShortTermMaxLUFS: v(-6.5, 1),
		MomentaryMaxLUFS: v(-5.5, 1), RangeLU: v(6, 1), TimelineStepS: 1.25, TimelineLUFS: []detect.Value{},
	}
	for range 240 {
		r.Loudness.TimelineLUFS = append(r.Loudness.TimelineLUFS, v(-9, 2))
	}
	r.Peak = detect.Peak{TruePeakDBTP: v(0, 0.3), SamplePeakDBFS: v(-0.3, 0.2), PLRLU: v(9, 1)}
	r.LowEnd = detect.LowEnd{LowDB: v(2, 1.5), SubDB: v(-2, 2), BassDB: v(0, 1.5), MonoLossDB: v(-0.2, 0.1)}
	for range 31 {
		r.Spectrum.CentreHz = append(r.Spectrum.CentreHz, 1000)
		r.Spectrum.LoudestDB = append(r.Spectrum.LoudestDB, v(-30, 5))
		r.Spectrum.WholeDB = append(r.Spectrum.WholeDB, v(-33, 5))
		r.Spectrum.MidDB, r.Spectrum.SideDB = append(r.Spectrum.MidDB, -31), append(r.Spectrum.SideDB, -39)
	}
	r.Width = &detect.Width{LowCorrelation: 0.98, MonoWorstDB: -3.5, MonoWorstHz: 8000, MonoWorstAtS: 95}
	r.Kick = &detect.Kick{Kicks: 60, OverBassDB: 4, DipDB: 6, BackAfterS: 0.12, SubHz: 49, SubNote: "G1", SubUp: 0.7, AttackSumDB: detect.None, AttackWorstDB: detect.None}
	r.Tempo.BPM, r.Tempo.Confidence, r.Tempo.AlternativeBPM = v(128, 10), v(0.9, 0.02), v(64, 5)
	r.Tempo.Pattern = []detect.Value{}
	for range 16 {
		r.Tempo.Pattern = append(r.Tempo.Pattern, v(0.06, 0.02))
	}
	r.Balance = detect.Balance{LowDB: v(0, 1), LowMidDB: v(-9, 1), MidDB: v(-8, 1), PresenceDB: v(-14, 1.2), TrebleDB: v(-16, 1.6), AirDB: v(-18, 2.4), SubShareDB: v(-2, 3)}
	r.Fingerprint = fingerprint(rng)
	r.Key = &detect.Key{Name: "A minor", Tonic: "A", Mode: "minor", Confidence: 0.8}
	if i%20 == 0 {
		r.Faults = []detect.Fault{{Kind: "silence_start", Detail: "2.1 s of silence before the music", AtS: 0}}
	}
	return r
}

// fingerprint is one of five minutes, a minute more or less, of nothing in particular,
// in the form that package faults writes and reads.
func fingerprint(rng *rand.Rand) string {
	const alphabet = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz-_"
	tenths := 3000 + rng.IntN(1200) - 600
	b := []byte{'2', '.', alphabet[tenths>>6], alphabet[tenths&63], '.'}
	for range 4 {
		b = append(b, alphabet[32], alphabet[rng.IntN(64)]) // means, 12 bits each
	}
	b = append(b, '.')
	for range 480 {
		b = append(b, alphabet[28+rng.IntN(8)])
	}
	b = append(b, '.')
	for range 480 {
		b = append(b, alphabet[rng.IntN(64)])
	}
	return string(b)
}

// RecordLine is a record as it stands in a file of them: JSON on one line.
func RecordLine(t testing.TB, path string, size int64) string {
	t.Helper()
	r := Record(rand.New(rand.NewPCG(3, 4)), 1)
	r.Path, r.Measurement.File.SizeBytes = path, size
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b) + "\n"
}
