package tempo

import (
	"encoding/csv"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"dubgauge/decode/need"
)

// piece is a piece of the development set.
type piece struct {
	name, path string
	bpm        float64
	felt       bool // half of bpm counts as right too
	pitches    []int
}

// developmentSet reads the list of pieces, or skips where there is none.
func developmentSet(t *testing.T) (list []piece) {
	t.Helper()
	dir := need.Checks(t)
	f, err := os.Open(filepath.Join(dir, "music", "truth.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range rows[1:] {
		pitches := []int{0, -3 + 8*(i%2)}
		if full() {
			pitches = []int{0, -5, -4, -3, -2, -1, 1, 2, 3, 4, 5}
		}
		bpm, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, piece{row[0], filepath.Join(dir, "music", row[0]), bpm, strings.Contains(row[3], "felt"), pitches})
	}
	return list
}

// measuredPieces are the results of measured, by path and pitch.
var measuredPieces = map[string]map[int]Result{}

// measured measures a piece of the development set as it is and at other pitches, given in
// semitones: the same samples said to be at another rate are exactly what resampling by that
// factor and playing at the old rate gives. Of each a second test gets what the first one got.
func measured(t *testing.T, p piece) map[int]Result {
	t.Helper()
	if r := measuredPieces[p.path]; r != nil {
		return r
	}
	x, rate := decoded(t, p.path)
	r := map[int]Result{}
	for _, k := range p.pitches {
		r[k] = measure(x, int(math.Round(float64(rate)*math.Pow(2, float64(k)/12))))
	}
	measuredPieces[p.path] = r
	return r
}

// right tells whether a tempo is within 4 % of the piece's, or of its half
// where that is felt too.
func (p piece) right(bpm float64) bool {
	return math.Abs(bpm/p.bpm-1) <= rightShare || p.felt && math.Abs(2*bpm/p.bpm-1) <= rightShare
}

// rightOctave is right, up to the octave.
func (p piece) rightOctave(bpm float64) bool {
	return octave(bpm, p.bpm) <= rightShare*p.bpm
}

var tempoLine = regexp.MustCompile(`([0-9.]+) bpm`)

// aubio is the tempo by aubio's command, of Debian's aubio-tools: an
// independent tracker of the whole track. It says "unknown" at times: NaN.
func aubio(t *testing.T, program, path string) float64 {
	t.Helper()
	out, err := exec.Command(program, "tempo", path).CombinedOutput()
	if err != nil {
		t.Fatalf("aubio: %v: %s", err, out)
	}
	m := tempoLine.FindSubmatch(out)
	if m == nil {
		t.Logf("aubio: %s", out)
		return math.NaN()
	}
	bpm, err := strconv.ParseFloat(string(m[1]), 64)
	if err != nil {
		t.Fatal(err)
	}
	return bpm
}

// How many pieces of the development set we and aubio get right, side by side: every other
// one, all with DUBGAUGE_FULL.
func TestBesideAubio(t *testing.T) {
	list := developmentSet(t)
	program := need.Program(t, "aubio")
	var ours, theirs struct{ right, octave int }
	n := 0
	for i, p := range list {
		if !full() && i%2 == 1 {
			continue
		}
		n++
		a, b := measured(t, p)[0].BPM, aubio(t, program, p.path)
		t.Logf("%s: %.0f BPM; ours %.3f, aubio %.2f", p.name, p.bpm, a, b)
		ours.right += count(p.right(a))
		ours.octave += count(p.rightOctave(a))
		theirs.right += count(p.right(b))
		theirs.octave += count(p.rightOctave(b))
	}
	t.Logf("within 4 %%: ours %d of %d, aubio %d; up to the octave: ours %d, aubio %d", ours.right, n, theirs.right, ours.octave, theirs.octave)
	if ours.right < theirs.right || ours.octave < theirs.octave {
		t.Error("aubio is right more often")
	}
}

func count(is bool) int {
	if is {
		return 1
	}
	return 0
}

// pieceBeat is what a first beat must be exact to, in seconds: cueing by ear is no better.
// Common practice, no source.
const pieceBeat = 0.01

// First beats and bars of the development set: its projects begin with their first bar, and
// what encodes them is taken off, so that beats lie at whole multiples of 60/BPM and bars
// at those of 240/BPM. All twelve, and 85 % of the bars that are given.
func TestFirstBeatOfPieces(t *testing.T) {
	list := developmentSet(t)
	if testing.Short() {
		t.Skip("decodes twelve pieces")
	}
	beats, given, bars := 0, 0, 0
	for _, p := range list {
		r := measured(t, p)[0]
		off, line := math.Remainder(r.FirstBeat, 60/p.bpm), math.Remainder(r.FirstDownbeat, 240/r.BPM)
		t.Logf("%s: %.0f BPM, %.3f; first beat %.4f (%+.4f), downbeat %.4f (%+.4f), %.2f", p.name, p.bpm, r.BPM, r.FirstBeat, off, r.FirstDownbeat, line, r.DownbeatConfidence)
		beats += count(math.Abs(off) <= pieceBeat)
		given += count(!math.IsNaN(line))
		bars += count(math.Abs(line) <= pieceBeat)
	}
	t.Logf("first beat within %.0f ms: %d of %d; bars: %d of %d given", 1000*pieceBeat, beats, len(list), bars, given)
	if beats < len(list) || given < len(list)/2 || float64(bars) < 0.85*float64(given) {
		t.Error("fewer than that")
	}
}
