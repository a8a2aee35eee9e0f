package kick

import (
	"math"
	"slices"
)

// The kick is looked for between 20 and 230 Hz, at four times the rate: 0.4 ms.
const (
	bandFrom, bandTo = 20.0, 230.0
	finer            = 4
)

const (
	sixteenths = 16    // places of a bar
	headFrom   = 0.020 // seconds before the grid and behind it that a kick is known by
	headTo     = 0.080
	// alikeBar is the least correlation of the mean of a place of the bar with the kick.
	// Another drum has less than 0.5.
	alikeBar = 0.75
	// alike is that of a single place, bass and all. It is low: with a higher one, places
	// where the bass happens to help would be taken, and the bass with them.
	alike = 0.3
	// fewestKicks to take a mean of: the bass below it is then 9 dB down.
	fewestKicks = 8
	longest     = 0.45 // seconds of a kick at most
	// coherence is the least share of the power of all heads that their mean has: under a
	// bass as strong as itself a kick has a half.
	coherence = 0.25
	// attack is the share of its highest power at which a kick begins: 10 dB under it.
	attack = 0.1
)

// bottom is the low end of a track, and what was found in it.
type bottom struct {
	y      []complex64
	rate   float64
	hits   []int // samples at which kicks begin
	length int   // samples from one that are the kick's
	kick   []complex64
}

// hitsOf finds the kicks; ok is false where nothing comes back alike.
func hitsOf(x []float32, rate, start float64, g Grid) (b *bottom, ok bool) {
	b = &bottom{y: analytic(x, rate, bandFrom, bandTo, finer), rate: rate * finer}
	bar := b.bar(start, g)
	if len(bar[sixteenths-1]) < 2 {
		return nil, false
	}
	head := b.mean(bar[b.strongest(bar)])
	var hits []int
	for _, places := range bar {
		if correlation(b.mean(places), head) >= alikeBar {
			hits = append(hits, places...)
		}
	}
	if b.coherent(hits) < coherence { // before any is chosen: a choice makes its own likeness
		return nil, false
	}
	head = b.mean(hits)
	for _, at := range hits {
		if correlation(b.head(at), head) >= alike {
			b.hits = append(b.hits, at)
		}
	}
	if len(b.hits) < fewestKicks {
		return nil, false
	}
	slices.Sort(b.hits)
	b.begin()
	b.separate()
	return b, true
}

// bar lists where each sixteenth of the bar lies, all bars through. Where a bar begins is
// all one.
func (b *bottom) bar(start float64, g Grid) (bar [sixteenths][]int) {
	step := 15 / g.BPM
	for k := math.Ceil((start - g.FirstBeat + 2*headFrom) / step); ; k++ {
		at := int(math.Round((g.FirstBeat + k*step - start) * b.rate))
		if at+b.samples(longest+headTo) >= len(b.y) {
			return bar
		}
		p := (int(k)%sixteenths + sixteenths) % sixteenths
		bar[p] = append(bar[p], at)
	}
}

func (b *bottom) samples(seconds float64) int { return int(seconds * b.rate) }

// strongest is the beat of the bar whose heads have most in common. A note of the bass that
// is played alike each time has as much, mostly beside the beat.
func (b *bottom) strongest(bar [sixteenths][]int) (best int) {
	most := 0.0
	for p := 0; p < sixteenths; p += sixteenths / 4 {
		if m := meanPower(b.mean(bar[p])); m > most {
			best, most = p, m
		}
	}
	return best
}

// begin moves the hits from the grid to the attack of the kick.
func (b *bottom) begin() {
	head := b.mean(b.hits)
	most := 0.0
	for _, v := range head {
		most = max(most, power(v))
	}
	at := slices.IndexFunc(head, func(v complex64) bool { return power(v) >= attack*most })
	for i := range b.hits {
		b.hits[i] += at - b.samples(headFrom)
	}
}

// separate takes the mean of all kicks, as long as none reaches into the next.
func (b *bottom) separate() {
	gap := b.samples(longest)
	for i := 1; i < len(b.hits); i++ {
		gap = min(gap, b.hits[i]-b.hits[i-1])
	}
	b.length = gap * 9 / 10
	b.kick = make([]complex64, b.length)
	for _, at := range b.hits {
		for i := range b.kick {
			b.kick[i] += b.y[at+i]
		}
	}
	scaled(b.kick, len(b.hits))
}
