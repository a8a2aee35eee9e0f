package library

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"dubgauge/detect"
)

// BenchmarkRescan20000 is a scan of 20,000 unchanged tracks followed by the
// verdicts on all: what the DJ waits for after adding nothing. The files are
// tiny; what would be read of them is nothing in any case.
func BenchmarkRescan20000(b *testing.B) {
	const n = 20000
	dir, db := b.TempDir(), openTemp(b)
	generate(b, db, dir, n)
	ctx := context.Background()
	for b.Loop() {
		start := time.Now()
		r, err := Scan(ctx, db, []string{dir}, ScanOptions{})
		if err != nil || r.Unchanged != n {
			b.Fatalf("report %+v, error %v", r, err)
		}
		scan := time.Since(start)
		tracks, err := db.Tracks(ctx, TrackOptions{})
		if err != nil || len(tracks) != n {
			b.Fatalf("%d tracks, error %v", len(tracks), err)
		}
		b.ReportMetric(scan.Seconds(), "s-scan/op")
		b.ReportMetric((time.Since(start) - scan).Seconds(), "s-judge/op")
	}
}

// BenchmarkTracksFull20000 reads all records in full, as an export does.
func BenchmarkTracksFull20000(b *testing.B) {
	const n = 20000
	dir, db := b.TempDir(), openTemp(b)
	generate(b, db, dir, n)
	for b.Loop() {
		if tracks, err := db.Tracks(context.Background(), TrackOptions{Full: true}); err != nil || len(tracks) != n {
			b.Fatalf("%d tracks, error %v", len(tracks), err)
		}
	}
}

// generate makes n tiny files and a database that knows them.
func generate(t testing.TB, db *DB, dir string, n int) {
	t.Helper()
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	var p place
	err = db.write(context.Background(), func(tx *sql.Tx) (err error) {
		p, err = db.place(context.Background(), tx, dir)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	err = db.write(context.Background(), func(tx *sql.Tx) error {
		for i := range n {
			f := &file{place: &p, rel: fmt.Sprintf("Folder %03d/Artist %d - Some Title (Original Mix) %d.wav", i/100, i%700, i)}
			f.path = f.rel
			data := fmt.Appendf(nil, "track %d", i)
			writeFile(t, f.disk(), data)
			fi, err := os.Stat(f.disk())
			if err != nil {
				return err
			}
			f.size, f.mtime = fi.Size(), fi.ModTime().UnixNano()
			f.content = fmt.Appendf(nil, "%16d", i)
			r := madeUp(rng, i)
			r.Path = f.path
			if err := putRecord(context.Background(), tx, f, &r); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// madeUp is a record as a measured track of a mixed library might have; four in
// five are released.
func madeUp(rng *rand.Rand, i int) Record {
	v := func(mean, spread float64) detect.Value { return detect.Value(mean + spread*rng.NormFloat64()) }
	r := Record{Measurement: detect.Empty()}
	r.Tags.Title, r.Tags.Artist = fmt.Sprintf("Some Title %d (Original Mix)", i), fmt.Sprintf("Artist %d", i%700)
	r.Tags.Album, r.Tags.Genre, r.Tags.Key = "Some Album", "House", "Am"
	if i%5 > 0 {
		r.Tags.ISRC, r.Tags.Label, r.Tags.Year = "QZABC2600001", "Invented Records", 2020
	}
	bits := 16
	r.Measurement.File = detect.File{Format: "wav", Codec: "pcm_s16", SampleRateHz: 44100, Channels: 2, BitDepth: &bits, DurationS: v(300, 60)}
	r.Loudness = detect.Loudness{
		IntegratedLUFS: v(-9, 1.2), Loudest30sLUFS: v(-7.5, 1), Loudest30sStartS: v(90, 20), ShortTermMaxLUFS: v(-6.5, 1),
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
	}
	r.Tempo.BPM, r.Tempo.Confidence, r.Tempo.AlternativeBPM = v(128, 10), v(0.9, 0.02), v(64, 5)
	r.Key = &detect.Key{Name: "A minor", Tonic: "A", Mode: "minor", Confidence: 0.8}
	if i%20 == 0 {
		r.Faults = []detect.Fault{{Kind: "silence_start", Detail: "2.1 s of silence before the music", AtS: 0}}
	}
	return r
}
