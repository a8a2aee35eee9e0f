package live

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/library"
	"dubgauge/library/madeup"
)

// manyTracks is a large library, as DJs have them.
const manyTracks = 5000

// crate is a database of n made-up records in folders of 250, four in five released: one in
// fifty is 5 dB quiet, one in seventy has little bass. It is a copy of its own for the test.
func crate(t testing.TB, n int) *library.DB {
	t.Helper()
	if crates[n] == nil {
		crates[n] = fill(t, n)
	}
	file := filepath.Join(t.TempDir(), "library.db")
	if err := os.WriteFile(file, crates[n], 0o644); err != nil {
		t.Fatal(err)
	}
	return openDB(t, file)
}

// crates are the files of those that were filled, by their size.
var crates = map[int][]byte{}

func fill(t testing.TB, n int) []byte {
	t.Helper()
	rng := rand.New(rand.NewPCG(15, 2))
	var lines strings.Builder
	for i := range n {
		r := madeup.Record(rng, i)
		r.Path = fmt.Sprintf("Crate %02d/track %04d.wav", i/250, i)
		r.Measurement.File.SizeBytes = int64(50e6) + int64(i)
		if i%50 == 10 {
			r.Loudness.Loudest30sLUFS -= 5
		}
		if i%70 == 20 {
			r.LowEnd.LowDB, r.LowEnd.SubDB, r.LowEnd.BassDB = r.LowEnd.LowDB-7, r.LowEnd.SubDB-7, r.LowEnd.BassDB-7
		}
		b, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		lines.Write(append(b, '\n'))
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "library.db")
	db := openDB(t, file)
	if r, err := library.ImportRecords(t.Context(), db, dir, strings.NewReader(lines.String())); err != nil || r.Total != n {
		t.Fatalf("report %+v, error %v", r, err)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return b
}
