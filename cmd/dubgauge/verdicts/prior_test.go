package main

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect"
	"dubgauge/detect/balance"
)

// scattered is a record whose figures are drawn with one standard deviation each.
func scattered(r *rand.Rand, genre string, seed uint64, sd float64) *Record {
	x := figured(genre, seed, "", 0, -8+0.7*r.NormFloat64(), 0)
	b := &x.Measurement.Balance
	for _, v := range []*detect.Value{&b.LowDB, &b.LowMidDB, &b.MidDB, &b.PresenceDB, &b.TrebleDB, &b.AirDB, &b.SubShareDB} {
		*v = detect.Value(sd * r.NormFloat64())
	}
	for range balance.Thirds {
		b.ThirdsDB = append(b.ThirdsDB, detect.Value(sd*r.NormFloat64()))
	}
	return x
}

// Songs of one standard deviation and pieces of three, which are scaled to the same volume: the
// prior has the songs' spread, and says by how much the pieces differ. Songs with odd seeds and
// every other pair of pieces take no part.
func TestPrior(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	b := &bench{}
	for seed := range uint64(400) {
		song, piece := 1.0, 3.0
		if seed%2 == 1 {
			song = 50
		}
		if (seed/2)%2 == 1 {
			piece = 50
		}
		b.songs = append(b.songs, scattered(r, "house", seed, song), scattered(r, openMusic, seed, piece))
	}
	var out strings.Builder
	printPrior(&out, b)
	lines := strings.Split(out.String(), "\n")
	if !strings.HasPrefix(lines[0], "200 songs, 200 pieces") {
		t.Fatalf("%s", lines[0])
	}
	for i, text := range strings.Split(strings.TrimSuffix(lines[2], ", "), ", ") {
		want := 1.0
		if i == levelFigure {
			want = 0.7
		}
		var got detect.Value
		if err := got.UnmarshalJSON([]byte(text)); err != nil || math.Abs(float64(got)/want-1) > 0.15 {
			t.Errorf("figure %d: %s, want %.1f within 15 %%", i, text, want)
		}
	}
	if got := strings.Split(lines[4+levelFigure], ", "); got[0] != "0.00" || got[levelFigure] != "1.00" {
		t.Errorf("the level goes with others: %q", got)
	}
	var none strings.Builder
	if printPrior(&none, &bench{}); !strings.Contains(none.String(), "DUBGAUGE_MUSIC") {
		t.Errorf("of nothing: %q", none.String())
	}
}

// The covariance of pieces is little moved by those of another world.
func TestPiecesOfAnotherWorld(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	var songs []*Record
	for i := range uint64(200) {
		sd := 2.0
		if i%10 == 0 {
			sd = 40
		}
		songs = append(songs, scattered(r, openMusic, 4*i, sd))
	}
	cov, n := piecesCovariance(songs, []int{0, 1, 2, 3})
	if sd := math.Sqrt(cov.At(0, 0)); n != 200 || sd < 1.4 || sd > 3.2 {
		t.Errorf("%.2f dB of %d pieces, want about 2 of 200", sd, n)
	}
	if got := logDet(mat.NewSymDense(3, []float64{2, 0, 0, 0, 9, 0, 0, 0, 3}), []int{0, 2}); math.Abs(got-math.Log(6)) > 1e-12 {
		t.Errorf("logarithm of the determinant %.3f, want that of 6", got)
	}
}
