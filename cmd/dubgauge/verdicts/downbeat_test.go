package main

import (
	"math"
	"os"
	"testing"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
)

// barWithin is how far from a bar line a downbeat may lie, in seconds, to be told from every
// other sixteenth.
const barWithin = 0.03

// barCount counts what is said of bars.
type barCount struct{ all, given, right int }

// bars counts a downbeat; lines lie every bar seconds from start.
func (n *barCount) bars(downbeat, start, bar float64) {
	n.all++
	if math.IsNaN(downbeat) {
		return
	}
	n.given++
	if math.Abs(math.Remainder(downbeat-start, bar)) <= barWithin {
		n.right++
	}
}

// parts joins pieces of x, from and to in seconds, each faded within 1 ms at its ends.
func (x *stereo) parts(pieces ...[2]float64) *stereo {
	const fade = sound.Rate / 1000
	out := &stereo{}
	for _, p := range pieces {
		from, to := int(math.Round(p[0]*sound.Rate)), min(len(x[0]), int(math.Round(p[1]*sound.Rate)))
		for c := range x {
			piece := append([]float32(nil), x[c][from:to]...)
			for i := range min(fade, len(piece)/2) {
				piece[i] *= float32(i) / fade
				piece[len(piece)-1-i] *= float32(i) / fade
			}
			out[c] = append(out[c], piece...)
		}
	}
	return out
}

// inThrees leaves out the last beat of every bar.
func (x *stereo) inThrees(beat float64) *stereo {
	var pieces [][2]float64
	for at := 0.0; (at+3*beat)*sound.Rate < float64(len(x[0])); at += 4 * beat {
		pieces = append(pieces, [2]float64{at, at + 3*beat})
	}
	return x.parts(pieces...)
}

// The bar line: of songs, of songs without their first one to three beats, of clips, and
// what looks like one and is none: a beat too many in the middle, bars of three. All nine
// genres with DUBGAUGE_TABLE.
func TestDownbeats(t *testing.T) {
	names := []string{"songs", "songs without their first beats", "clips", "a beat too many in the middle", "bars of three"}
	n := make([]barCount, len(names))
	for _, g := range studio.Genres {
		for _, seed := range beatSeeds {
			if os.Getenv("DUBGAUGE_TABLE") == "" && (testing.Short() || misread[g.Name] != seed) {
				continue
			}
			s := studio.Compose(g, seed)
			x := driven(s.Mix())
			beat, length := 60/s.BPM, float64(len(x[0]))/sound.Rate
			n[0].bars(beatOf(x).FirstDownbeat, 0, 4*beat)
			early := float64(1+seed/2%3) * beat
			n[1].bars(beatOf(x.parts([2]float64{early, length})).FirstDownbeat, 4*beat-early, 4*beat)
			for _, from := range []float64{0.3, 17.7, 52.9} {
				if from+clipSeconds <= length {
					n[2].bars(beatOf(x.parts([2]float64{from, from + clipSeconds})).FirstDownbeat, -from, 4*beat)
				}
			}
			middle := math.Round(length/2/(4*beat)) * 4 * beat
			n[3].bars(beatOf(x.parts([2]float64{0, middle}, [2]float64{middle - beat, length})).FirstDownbeat, 0, 4*beat)
			n[4].bars(beatOf(x.inThrees(beat)).FirstDownbeat, 0, 3*beat)
		}
	}
	for i, c := range n {
		t.Logf("%s: a downbeat for %d of %d, right %d", names[i], c.given, c.all, c.right)
		if i < 3 && (float64(c.right) < 0.95*float64(c.given) || 10*c.given < 7*c.all) || i >= 3 && c.given-c.right > max(1, c.all/5) {
			t.Error("more are wrong, or fewer are given")
		}
	}
}
