// Package madeup has invented tracks, for tests; nothing but tests imports it.
package madeup

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/key"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Tracks makes a library of n tracks with figures from a fixed seed, judged by
// the real judge: three tracks in four released, some defects among the others.
func Tracks(n int) []library.Track {
	r := rand.New(rand.NewPCG(2026, 7))
	tracks := make([]library.Track, n)
	for i := range tracks {
		tracks[i] = inventedTrack(r, i)
	}
	Rejudge(tracks)
	return tracks
}

// Rejudge does what the database does on reading.
func Rejudge(tracks []library.Track) {
	pool := library.Pool(tracks)
	j := standout.New(pool, standout.Options{})
	for i := range tracks {
		tracks[i].Judgement = j.Judge(pool[i])
	}
}

var (
	inventedFirst  = []string{"Night Bus", "Tin Roof", "Low Tide", "Paper Lantern", "Cold Store", "Ferry", "Sodium", "Gravel", "Second Moon", "Loading Bay"}
	inventedSecond = []string{"Signal", "Weather", "Junction", "Drift", "Harvest", "Parade", "Static", "Engine"}
	inventedArtist = []string{"Aunt Velvet", "Oslo Nobody", "The Copper Hours", "Mira Quill", "Plain Jonas", "Deck Nine"}
	inventedTempi  = []float64{124, 126, 132, 140, 174}
)

func inventedTrack(r *rand.Rand, i int) library.Track {
	t := library.Track{ID: int64(i + 1), Root: "/music", Record: library.Record{Measurement: detect.Empty()}}
	title := fmt.Sprintf("%s %s %d", inventedFirst[i%10], inventedSecond[i/10%8], i+1)
	t.Tags.Title, t.Tags.Artist = title, inventedArtist[r.IntN(6)]
	t.ModTime, t.MeasuredAt = time.Unix(1750000000, 0), time.Unix(1760000000, 0)
	bpm := inventedTempi[r.IntN(5)] + math.Round(r.NormFloat64()*10)/10
	level, low := -7+r.NormFloat64()*0.7, 2+r.NormFloat64()*0.8
	if i%4 == 3 {
		t.Path, t.Status = fmt.Sprintf("Dubs/%s v%d.wav", title, i%9+1), library.Unreleased
		t.Evidence = []library.Evidence{{For: library.Unreleased, What: fmt.Sprintf("the word %q", "v"+fmt.Sprint(i%9+1)), Where: "file name"}}
		level += []float64{0, -3.9, 0, 0, 2.4, 0}[i/4%6]
		low += []float64{0, 0, -4, 0, 0, 3.5}[i/4%6]
	} else {
		t.Path, t.Status = fmt.Sprintf("Records/%d/%s.flac", 2010+i%15, title), library.Released
		t.Evidence = []library.Evidence{{For: library.Released, What: fmt.Sprintf("ISRC QZABC26%05d", i), Where: "tag isrc"}}
	}
	figuresFor(&t, r, level, low, bpm)
	return t
}

func figuresFor(t *library.Track, r *rand.Rand, level, low, bpm float64) {
	depth, duration := 24, 240+r.Float64()*180
	t.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s24", SampleRateHz: 44100, Channels: 2, BitDepth: &depth,
		DurationS: detect.Value(duration), SizeBytes: int64(duration * 44100 * 6)}
	t.Loudness = detect.Loudness{IntegratedLUFS: detect.Value(level - 1), Loudest30sLUFS: detect.Value(level),
		Loudest30sStartS: detect.Value(duration * 0.4), Loudest30sOverS: 30, ShortTermMaxLUFS: detect.Value(level + 0.5),
		MomentaryMaxLUFS: detect.Value(level + 1.2), RangeLU: detect.Value(4 + r.Float64()*3), TimelineStepS: detect.Value(duration / 240)}
	for k := range 240 {
		v := level - 0.6*r.Float64()
		switch x := float64(k) / 240; {
		case x < 0.1, x > 0.92:
			v -= 8
		case x > 0.3 && x < 0.39, x > 0.65 && x < 0.7:
			v -= 12 * (1 - math.Abs(x-0.345)*3)
		}
		t.Loudness.TimelineLUFS = append(t.Loudness.TimelineLUFS, detect.Value(v))
	}
	t.Peak = detect.Peak{TruePeakDBTP: detect.Value(-0.3 + r.NormFloat64()*0.3), SamplePeakDBFS: -0.4, PLRLU: detect.Value(-level)}
	t.LowEnd = detect.LowEnd{LowDB: detect.Value(low), SubDB: detect.Value(low - 4 + r.NormFloat64()*0.5),
		BassDB: detect.Value(low - 2 + r.NormFloat64()*0.5), MonoLossDB: detect.Value(-0.1 - 0.1*r.Float64())}
	for b := range 31 /* 20 Hz to 20 kHz */ {
		f := 20 * math.Pow(10, float64(b)/10)
		t.Spectrum.CentreHz = append(t.Spectrum.CentreHz, math.Round(f))
		v := level - 6 - 0.9*float64(b) + 6*math.Exp(-math.Pow(float64(b-5)/3, 2)) + r.NormFloat64()
		if b < 2 {
			v -= 14
		}
		if b < 9 {
			v += (low - 2)
		}
		t.Spectrum.LoudestDB = append(t.Spectrum.LoudestDB, detect.Value(v))
	}
	t.Measurement.Tempo.BPM, t.Measurement.Tempo.Confidence = detect.Value(bpm), 0.9
	t.Measurement.Tempo.AlternativeBPM, t.Measurement.Tempo.FirstBeatS = detect.Value(bpm/2), 0.01
	t.Measurement.Key = &detect.Key{Name: key.TonicName(r.IntN(12)) + " minor", Confidence: 0.7, RunnerUp: "C major", TuningCents: 3}
}
