package transfer

import "math"

const (
	// clickReach is how far to either side a click must stand alone, clickSpan how
	// long it may last, in cells of cellSeconds: 10 and 2 ms.
	clickReach, clickSpan = 15, 3
	// clickRatio is how far the second difference of a click must lie above the
	// highest one around it. Of some 900 samples of noise the highest is at 3.3 times
	// the root of the mean square; that another is at 8 no noise does. Fitted on
	// masters of songs, look-alikes and pieces: at 2 clicks were named in 23 of 98 clean
	// ones and in 91 with planted clicks; at 2.5 in 9 and 83 of 125.
	clickRatio = 2.2
	// clickLeast is the least second difference of a click, of full scale: of 3 kHz
	// it is what a swing of -36 dBFS has.
	clickLeast = 0.02
	// clickRing is a power of two over 2*clickReach + 1.
	clickRing = 64
	maxClicks = 1 << 15
)

// tick is a place that looks like a click.
type tick struct {
	cell  int64
	most  float32 // second difference there
	ratio float32 // against the highest around it
}

// clicks looks for cells that stand out in both directions of time.
type clicks struct {
	rate  float64 // cells a second
	ring  [2][clickRing]float32
	at    int64
	found []tick
	more  bool
}

func newClicks(rate float64) clicks {
	return clicks{rate: rate}
}

func (k *clicks) write(left, right []cell) {
	for i := range left {
		slot := k.at & (clickRing - 1)
		k.ring[0][slot], k.ring[1][slot] = left[i].most, right[i].most
		if k.at >= 2*clickReach+clickSpan {
			k.judge(k.at - clickReach)
		}
		k.at++
	}
}

// judge looks at the cell at, whose surroundings are known.
func (k *clicks) judge(at int64) {
	const least = clickLeast * clickLeast
	for c := range k.ring {
		ring := &k.ring[c]
		v := ring[at&(clickRing-1)]
		if v < least || v <= ring[(at-1)&(clickRing-1)] || v < ring[(at+1)&(clickRing-1)] {
			continue
		}
		var around float32
		most := v / (clickRatio * clickRatio)
		for d := int64(clickSpan); d <= clickReach && around <= most; d++ {
			around = max(around, ring[(at-d+1)&(clickRing-1)], ring[(at+d)&(clickRing-1)])
		}
		if around > most {
			continue
		}
		k.keep(tick{at, float32(math.Sqrt(float64(v))), float32(math.Sqrt(float64(v / max(around, 1e-12))))})
	}
}

// keep adds a tick; the same in the other channel counts once.
func (k *clicks) keep(t tick) {
	if n := len(k.found); n > 0 && t.cell-k.found[n-1].cell <= clickSpan {
		if t.most > k.found[n-1].most {
			k.found[n-1] = t
		}
		return
	}
	if len(k.found) == maxClicks {
		k.more = true
		return
	}
	k.found = append(k.found, t)
}
