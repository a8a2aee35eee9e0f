package key

import (
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
)

// fullTable asks for the whole yardstick.
var fullTable = os.Getenv("DUBGAUGE_FULL") != ""

// heard is a piece of the yardstick with what was measured of it.
type heard struct {
	piece  yardPiece
	song   song
	want   Key // as the tuning stands
	meter  *Meter
	result Result
}

// yardPieces lists pieces of the yardstick: of each row and seed so many of the six
// tonics that are even or odd.
func yardPieces(seeds []uint64, tonics int) (all []heard) {
	for _, seed := range seeds {
		for row := range yardMusic {
			for i := range tonics {
				p, _ := newYardPiece(&yardMusic[row], (row+int(seed)/2)%2+2*((i+row)%6), seed)
				all = append(all, heard{piece: p})
			}
		}
	}
	return all
}

// listenToYard plays and measures pieces of the yardstick, as many at a time as there
// are processors.
func listenToYard(t *testing.T, seeds []uint64, tonics int) []heard {
	t.Helper()
	all := yardPieces(seeds, tonics)
	var wait sync.WaitGroup
	free := make(chan bool, runtime.GOMAXPROCS(0))
	for i := range all {
		wait.Add(1)
		free <- true
		go func() {
			defer func() { <-free; wait.Done() }()
			h := &all[i]
			p, rnd := newYardPiece(h.piece.music, h.piece.key.Tonic, h.piece.seed)
			h.meter = listen(p.render(rnd, testRate), testRate)
			h.result = h.meter.Result()
			h.want = p.truth(h.result.Key)
		}()
	}
	wait.Wait()
	return all
}

// tally counts results by how they stand to the key.
type tally struct {
	n, none int
	score   float64
	as      map[Relation]int
}

func (c *tally) add(got, want Key) {
	if c.as == nil {
		c.as = map[Relation]int{}
	}
	c.n++
	c.score += mirex(got, want)
	if !got.Exists() {
		c.none++
		return
	}
	c.as[Relate(want, got)]++
}

func (c *tally) mirex() float64 { return c.score / float64(max(c.n, 1)) }

func (c *tally) String() string {
	other := c.n - c.none - c.as[Same] - c.as[Relative] - c.as[Parallel] - c.as[FifthUp] - c.as[FifthDown]
	return fmt.Sprintf("%4d pieces, MIREX %.3f: right %d, relative %d, parallel %d, fifth %d, other %d, none %d", c.n, c.mirex(),
		c.as[Same], c.as[Relative], c.as[Parallel], c.as[FifthUp]+c.as[FifthDown], other, c.none)
}

// labels are the lines of the table that a piece counts for.
func (p *yardPiece) labels() []string {
	l := []string{"all", p.music.name, "bass: " + p.bass.name}
	if p.music.with != bassLine {
		l = append(l, "chords: "+p.chord.name)
	}
	if p.seconds == wholeSeconds {
		l = append(l, "whole tracks")
	} else {
		l = append(l, "clips of 30 s")
	}
	if p.drums {
		return append(l, "drums")
	}
	return append(l, "no drums")
}

// table tallies pieces by label, in the order in which the labels come up.
func table(all []heard) (order []string, by map[string]*tally) {
	by = map[string]*tally{}
	for i := range all {
		for _, l := range all[i].piece.labels() {
			if by[l] == nil {
				by[l] = &tally{}
				order = append(order, l)
			}
			by[l].add(all[i].result.Key, all[i].want)
		}
	}
	return order, by
}

// allTonics is how many tonics of each row and seed there are, fewTonics how many a short
// run takes.
const (
	allTonics = 6
	fewTonics = 1
)

// fittingSeeds and showingSeeds are the two halves of the yardstick.
var (
	fittingSeeds = []uint64{0, 2, 4, 6, 8, 10, 12}
	showingSeeds = []uint64{1, 3, 5, 7, 9, 11, 13}
)

// TestYardstick is the table of the README with DUBGAUGE_FULL: odd seeds, which nothing
// was fitted to. Without it the first is sampled.
func TestYardstick(t *testing.T) {
	const mostParallel = 0.05 // 0.04 in full
	least := 0.76             // of the 22 of the short run, 0.77
	seeds, tonics := showingSeeds[:1], fewTonics
	if fullTable {
		least = 0.81 // of 0.82
		seeds, tonics = showingSeeds, allTonics
	}
	all := listenToYard(t, seeds, tonics)
	order, by := table(all)
	for _, l := range order {
		t.Logf("%-42s %v", l, by[l])
	}
	c := by["all"]
	if c.mirex() < least {
		t.Errorf("MIREX score %.3f, want %.2f", c.mirex(), least)
	}
	if share := float64(c.as[Parallel]) / float64(c.n); share > mostParallel {
		t.Errorf("%.1f %% read as the parallel key, want %.0f %%", 100*share, 100*mostParallel)
	}
	if fullTable {
		// What is claimed stands for music of both kinds: progressions of the trade, of which
		// more is right than claimed, and tunes drawn at random, of which less is.
		for _, seed := range tuneSeeds {
			all = append(all, listenToTunes(seed, 200)...)
		}
		all = append(all, listenToSongs(showingSongs)...)
	}
	calibration(t, all)
}

// calibration compares what is claimed of pieces with what is right, in steps of 0.1.
func calibration(t *testing.T, all []heard) {
	const (
		apart  = 0.1 // what is claimed and what is right, in a step of
		enough = 20  // pieces
	)
	var n, right, claimed [10]float64
	for i := range all {
		h := &all[i]
		if !h.result.Exists() {
			continue
		}
		b := min(int(10*h.result.Confidence), 9)
		n[b]++
		claimed[b] += h.result.Confidence
		if h.result.Key == h.want {
			right[b]++
		}
	}
	for b := range n {
		if n[b] == 0 {
			continue
		}
		t.Logf("confidence from 0.%d: %3.0f pieces, claimed %2.0f %%, right %2.0f %%", b, n[b], 100*claimed[b]/n[b], 100*right[b]/n[b])
		if n[b] >= enough && math.Abs(claimed[b]-right[b]) > apart*n[b] {
			t.Errorf("confidence from 0.%d is off by more than %.0f points", b, 100*apart)
		}
	}
	if fullTable && n[9] < enough {
		t.Errorf("%.0f pieces with 0.9 and over", n[9])
	}
}

// Some pieces through a lossy encoder at 64 kbit/s give the same key as without.
func TestYardstickLossy(t *testing.T) {
	if _, err := exec.LookPath("ffmpeg"); err != nil || !fullTable {
		t.Skip("needs ffmpeg and DUBGAUGE_FULL")
	}
	const least = 0.95
	same, n := 0, 0
	for _, h := range yardPieces(showingSeeds[:2], allTonics) {
		if !h.piece.lossy {
			continue
		}
		p, rnd := newYardPiece(h.piece.music, h.piece.key.Tonic, h.piece.seed)
		x := p.render(rnd, testRate)
		mp3 := filepath.Join(t.TempDir(), "piece.mp3")
		run(t, "ffmpeg", "-v", "error", "-y", "-f", "s16le", "-ar", fmt.Sprint(testRate), "-ac", "1", "-i", writeRaw(t, x), "-b:a", "64k", mp3)
		tr := decodeFile(t, mp3)
		n++
		if a, b := listen(x, testRate).Result(), tr.listenAt(tr.rate).Result(); a.Key == b.Key {
			same++
		} else {
			t.Logf("%v: %v became %v", &p, a.Key, b.Key)
		}
	}
	t.Logf("%d of %d the same", same, n)
	if float64(same) < least*float64(n) {
		t.Errorf("%d of %d the same, want %.0f %%", same, n, 100*least)
	}
}

// The chords of the yardstick are what their numerals say.
func TestNumerals(t *testing.T) {
	for numeral, want := range map[string]string{"I": "0 4 7", "iv": "5 8 12", "bVII5": "10 17", "V7": "7 11 14 17",
		"iih7": "2 5 8 12", "i9": "0 3 7 10 14", "bvii7": "10 13 17 20", "IM7": "0 4 7 11", "vi": "9 12 16"} {
		if got := strings.Trim(fmt.Sprint([]int(parseChord(numeral))), "[]"); got != want {
			t.Errorf("%s: %s, want %s", numeral, got, want)
		}
	}
}
