package tempo

import (
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// full tells whether the long tables are wanted: DUBGAUGE_FULL=1 runs all of
// their rows, otherwise a part of them runs.
func full() bool { return os.Getenv("DUBGAUGE_FULL") != "" }

// tableTempi are odd values from 60 to 200 BPM.
var tableTempi = []float64{63.7, 74.2, 87.3, 93.1, 105.9, 120.7, 127.3, 139.2, 151.6, 166.4, 173.7, 187.9, 198.3}

const (
	tableSeconds = 40 // short pieces: less to go by than a track has
	// confident is the confidence from which at least confidentRight of the
	// tempi must be right, within rightShare of the truth at the level that is
	// written: Accuracy 1 of Gouyon and others, "An experimental comparison of
	// audio tempo induction algorithms", 2006.
	confident      = 0.9
	confidentRight = 0.9
	rightShare     = 0.04
)

// tally counts what a table of tempi holds.
type tally struct {
	all, exact, right, sure, sureRight int
}

func (n *tally) add(got Result, want float64) (mark string) {
	n.all++
	exact := octave(got.BPM, want) <= bpmTolerance
	right := math.Abs(got.BPM/want-1) <= rightShare
	sure := got.Confidence >= confident
	for _, c := range []struct {
		is bool
		of *int
	}{{exact, &n.exact}, {right, &n.right}, {sure, &n.sure}, {sure && right, &n.sureRight}} {
		if c.is {
			*c.of++
		}
	}
	switch {
	case right && exact:
		return " "
	case exact:
		return "o"
	}
	return "!"
}

// Every groove at every tempo: to 0.05 BPM up to the octave or not confident;
// and a confidence that means what it says. What stays confident and wrong is
// broken beats and breaks below 80 BPM, read at double. In the table a tempo is followed
// by "o" for another octave, "!" for another tempo, and by the confidence.
func TestTempoTable(t *testing.T) {
	var n tally
	var table strings.Builder
	for i, name := range slices.Sorted(maps.Keys(grooves)) {
		fmt.Fprintf(&table, "\n%-22s", name)
		for j, bpm := range tableTempi {
			if !full() && (i+j)%len(tableTempi) != 0 {
				continue
			}
			s := song{groove: grooves[name], bpm: bpm, seconds: tableSeconds, vary: 0.06, seed: uint64(100*i + j)}
			r := measure(s.render(), synthRate)
			mark := n.add(r, bpm)
			fmt.Fprintf(&table, " %7.2f%s%3.2f", r.BPM, mark, r.Confidence)
			if octave(r.BPM, bpm) > bpmTolerance && r.Confidence >= confident {
				t.Errorf("%s at %.1f BPM: %.3f with confidence %.2f", name, bpm, r.BPM, r.Confidence)
			}
		}
	}
	t.Logf("want %v%s", tableTempi, table.String())
	t.Logf("%d pieces: %d within %.2f BPM up to the octave, %d within %.0f %%; of %d with confidence %.1f or more, %d right",
		n.all, n.exact, bpmTolerance, n.right, 100*rightShare, n.sure, confident, n.sureRight)
	if n.sure == 0 || float64(n.sureRight) < confidentRight*float64(n.sure) {
		t.Errorf("%d of %d confident tempi are right", n.sureRight, n.sure)
	}
}
