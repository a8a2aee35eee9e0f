package key

import (
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"
)

// scaleSteps is the natural scale of each mode, in semitones above the tonic.
var scaleSteps = [2][]float64{{0, 2, 4, 5, 7, 9, 11}, {0, 2, 3, 5, 7, 8, 10}}

// degrees are the usual chords of each mode, the commoner ones more than once.
var degrees = [2][][]float64{
	{major(0), major(0), major(5), major(5), major(7), major(7), minor(9), minor(9), minor(2), minor(4)},
	{minor(0), minor(0), major(8), major(8), major(10), major(10), minor(5), minor(5), minor(7), major(3), major(7)},
}

// randomTune composes a loop in a random key with random instruments, drums
// and tuning, from plain to hard: chord loops that mostly begin with the
// tonic, one or two chords, riffs of the bass alone, a chord out of the key,
// with and without a melody.
func randomTune(rnd *rand.Rand) (t tune, k Key) {
	k = Key{Tonic: rnd.IntN(12)}
	if rnd.Float64() < 0.7 {
		k.Mode = Minor
	}
	t = tune{
		bpm: 90 + 85*rnd.Float64(), timbre: timbre(rnd.IntN(5)), up: float64(k.Tonic) - 6,
		cents: 80*rnd.Float64() - 40, beats: 16, seconds: 16,
	}
	tonic := float64(middleC + 6)
	switch p := rnd.Float64(); {
	case p < 0.15:
		t.notes = randomRiff(rnd, tonic-24, k.Mode)
	case p < 0.3:
		pair := [][]float64{degrees[k.Mode][0], degrees[k.Mode][rnd.IntN(len(degrees[k.Mode]))]}
		t.notes = chords(tonic, pair[0], pair[0], pair[1], pair[1])
	default:
		t.notes = chords(tonic, randomChords(rnd, k.Mode)...)
	}
	if rnd.Float64() < 0.5 {
		for at := 0.0; at < 16; at += 0.5 {
			if rnd.Float64() < 0.4 {
				s := scaleSteps[k.Mode]
				t.notes = append(t.notes, note{at, 0.45, tonic + 12 + s[rnd.IntN(len(s))], 0.25})
			}
		}
	}
	switch p := rnd.Float64(); {
	case p < 0.5:
		t.drums = fourOnTheFloor(4)
	case p < 0.8:
		t.drums = breakbeat(4)
	}
	return t, k
}

// randomChords draws four chords, the first of them mostly the tonic; now and
// then one is not of the key.
func randomChords(rnd *rand.Rand, mode Mode) (bars [][]float64) {
	for range 4 {
		bars = append(bars, degrees[mode][rnd.IntN(len(degrees[mode]))])
	}
	if rnd.Float64() < 0.8 {
		bars[0] = degrees[mode][0]
	}
	if rnd.Float64() < 0.5 { // a cadence: the dominant that leads back, or the tonic
		bars[3] = [][]float64{degrees[mode][0], major(7)}[rnd.IntN(2)]
	}
	if rnd.Float64() < 0.2 {
		bars[2] = major(float64(rnd.IntN(12)))
	}
	return bars
}

// randomRiff draws two bars of bass in eighths, half of them the tonic.
func randomRiff(rnd *rand.Rand, tonic float64, mode Mode) []note {
	steps := make([]float64, 32)
	for i := range steps[:16] {
		if i%8 != 0 && rnd.Float64() < 0.5 {
			steps[i] = scaleSteps[mode][rnd.IntN(7)]
		}
		steps[i+16] = steps[i]
	}
	for tonic >= 36 {
		tonic -= 12
	}
	return line(tonic+12, steps...)
}

// tuneSeeds are those of the tunes that figures are stated of: 200 each.
var tuneSeeds = []uint64{11, 13, 15}

// listenToTunes measures n random tunes of a seed; even seeds are for fitting.
func listenToTunes(seed uint64, n int) []heard {
	all := make([]heard, n)
	var wait sync.WaitGroup
	free := make(chan bool, runtime.GOMAXPROCS(0))
	for i := range all {
		wait.Add(1)
		free <- true
		go func() {
			defer func() { <-free; wait.Done() }()
			t, want := randomTune(rand.New(rand.NewPCG(seed, uint64(i))))
			h := &all[i]
			h.meter, h.want = listen(t.render(testRate), testRate), want
			h.result = h.meter.Result()
		}()
	}
	wait.Wait()
	return all
}

// TestConfidenceMeansSomething compares what is claimed of random tunes with what is right:
// 600 with DUBGAUGE_FULL, else 48. The true notes of the first 200 score 0.83 (TestIdealObserver).
func TestConfidenceMeansSomething(t *testing.T) {
	const (
		least = 0.65 // one standard error of 48 under the 600 tunes' 0.73
		apart = 0.1  // what is claimed and what is right, on average
	)
	all := listenToTunes(11, 48)
	if fullTable {
		all = nil
		for _, seed := range tuneSeeds {
			all = append(all, listenToTunes(seed, 200)...)
		}
	}
	var c tally
	claimed := 0.0
	for i := range all {
		c.add(all[i].result.Key, all[i].want)
		claimed += all[i].result.Confidence
	}
	t.Log(&c)
	if c.mirex() < least {
		t.Errorf("MIREX score %.3f, want %.2f", c.mirex(), least)
	}
	if off := claimed - float64(c.as[Same]); math.Abs(off) > apart*float64(c.n) {
		t.Errorf("%.2f claimed and %.2f right, of %d", claimed, float64(c.as[Same]), c.n)
	}
}
