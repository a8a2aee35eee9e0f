package transfer

import (
	"math"
	"slices"
)

const (
	// lagMost is the longest repeat that is looked for, in seconds: four bars at 60 BPM.
	lagMost = 16.0
	// lagNear is how exactly a repeat must repeat, in seconds, to either side.
	lagNear = 0.003
	// lagCount is how many of the commonest distances are held against each tick.
	lagCount = 24
)

// lags are the distances between ticks, in cells, that are commoner than chance has
// it, the commonest first.
func (k *clicks) lags(found []tick) []int64 {
	most := int(lagMost * k.rate)
	near := max(1, int(lagNear*k.rate))
	bins := make([]int, most/near+2)
	for i, a := range found {
		for _, b := range found[i+1:] {
			d := int(b.cell - a.cell)
			if d >= most {
				break
			}
			bins[d/near]++
		}
	}
	total := 0
	for _, n := range bins {
		total += n
	}
	mean := float64(total) / float64(len(bins))
	type lag struct {
		at    int64
		score float64
	}
	var all []lag
	for i := 1; i+1 < len(bins); i++ {
		// Two bins, as a distance may lie on their border.
		n := float64(bins[i] + bins[i+1])
		score := (n - 2*mean) / math.Sqrt(2*mean+1)
		if n >= 4 && score > 4 {
			all = append(all, lag{int64((i + 1) * near), score})
		}
	}
	slices.SortFunc(all, func(a, b lag) int { return int(math.Copysign(1, b.score-a.score)) })
	var out []int64
	for _, l := range all {
		if len(out) == lagCount {
			break
		}
		if !slices.ContainsFunc(out, func(o int64) bool { return o-l.at <= int64(2*near) && l.at-o <= int64(2*near) }) {
			out = append(out, l.at)
		}
	}
	return out
}

// lone are the ticks that don't repeat: those with hardly more others at the given
// distances than chance would put there.
func (k *clicks) lone(found []tick, lags []int64) []tick {
	near := int64(lagNear * k.rate * 1.5)
	var out []tick
	for i, a := range found {
		// The density of ticks around this one.
		from, to := i, i
		reach := int64(lagMost * k.rate)
		for from > 0 && a.cell-found[from-1].cell < reach {
			from--
		}
		for to+1 < len(found) && found[to+1].cell-a.cell < reach {
			to++
		}
		around := found[from : to+1]
		chance := float64(len(around)-1) / float64(2*reach) * float64(2*near+1) * float64(2*len(lags))
		matches := 0
		for _, l := range lags {
			for _, at := range [2]int64{a.cell - l, a.cell + l} {
				j, _ := slices.BinarySearchFunc(around, at-near, func(t tick, c int64) int { return int(t.cell - c) })
				if j < len(around) && around[j].cell <= at+near {
					matches++
				}
			}
		}
		if float64(matches) <= chance+1+1.5*math.Sqrt(chance) {
			out = append(out, a)
		}
	}
	return out
}

// gridCrowd is how many standard deviations of a count more ticks than beside it make a
// crowd. Clicks crowd too, where the music leaves them to be seen, but over more than the
// two or three places of a sixteenth, of 4 to 6 ms each, that lie between.
const gridCrowd = 4.0

// offGrid leaves out the ticks that crowd at the same places of a sixteenth, and says
// what share of the sixteenth is left. period is in cells.
func offGrid(found []tick, period float64) (left []tick, share float64) {
	const bins = 24
	if len(found) < clickTotal || !(period > bins) {
		return found, 1
	}
	best, bestScore := 1.0, -1.0
	var most [bins]int
	for step := -12; step <= 12; step++ {
		stretch := 1 + float64(step)*1.5e-5
		var count [bins]int
		for _, t := range found {
			count[phase(t, period*stretch, bins)]++
		}
		score := 0.0
		for _, n := range count {
			score += float64(n * n)
		}
		if score > bestScore {
			best, bestScore, most = stretch, score, count
		}
	}
	var crowded [bins]bool
	kept := bins
	for i, n := range most {
		beside := float64(most[(i+2)%bins]+most[(i+3)%bins]+most[(i+bins-2)%bins]+most[(i+bins-3)%bins]) / 4
		if crowded[i] = float64(n) > beside+gridCrowd*math.Sqrt(beside+1); crowded[i] {
			kept--
		}
	}
	for _, t := range found {
		if !crowded[phase(t, period*best, bins)] {
			left = append(left, t)
		}
	}
	return left, float64(kept) / bins
}

func phase(t tick, period float64, bins int) int {
	p := math.Mod(float64(t.cell)/period, 1)
	return min(bins-1, int(p*float64(bins)))
}

const (
	// clickScene is the length of the parts of a track that are counted apart, in
	// seconds; clickScenes the share of them that may have fewer clicks than the count
	// that is judged. A record crackles from end to end; a crackle in the arrangement,
	// or a fill that is taken for one, is in some sections only.
	clickScene, clickScenes = 15.0, 0.5
	// clickOneScene is the share of all clicks that one of these parts may have.
	clickOneScene = 0.7
	// clickDense is the number of ticks a minute from which they are the sound of an
	// instrument: a raw pulse wave, a bit-crushed drum.
	clickDense = 400.0
	// clickClear is how far a click stands out that is clear, and clickClearShare the share of
	// clear ones. A click of a record knows nothing of clickRatio: half of those that are found
	// stand out by 4 and more. Of music those are found that just pass: the share is below 0.2
	// in 51 of 55 open pieces, of 214, that were named without this, and at 0.25 of planted
	// clicks, where most that is found is planted, nine tenths are above.
	clickClear, clickClearShare = 4.0, 0.2
	// clickFew are the clicks a minute, as found, from which they are named, and clickMany the
	// clear ones from which they are worth a look: in a loud master a tenth to a third of the
	// clicks between -26 and -8 dBFS is found. Of 214 open pieces two are named, with 6 and 9
	// clear ones a minute, and a look-alike used for the table, a loop of crackle bare at both
	// ends, has 14.
	clickFew, clickMany = 5.0, 16.0
	// clickTotal is the least number that is spoken of as many.
	clickTotal = 6
	// clickSure is the confidence from which a tempo is used.
	clickSure = 0.3
)

// judged are the clicks of a record among the ticks.
type judged struct {
	perMinute float64 // 0 where there are none
	clear     float64 // those of them that are clear
	ticks     []tick
}

// Crackles tells that the track is so full of short clicks, repeated or not, that one of
// them is no fault of its own: a record's, or a crackle in the arrangement.
func (m *Meter) Crackles() bool {
	n := len(m.clicks.found)
	return n >= clickTotal && float64(n) >= clickFew*float64(m.clicks.at)/m.clicks.rate/60
}

// record tells the clicks of a record from what belongs to the music.
func (k *clicks) record(b Beat) judged {
	minutes := float64(k.at) / k.rate / 60
	if k.more || len(k.found) < clickTotal || float64(len(k.found)) > clickDense*minutes {
		return judged{}
	}
	left, part := k.lone(k.found, k.lags(k.found)), 1.0
	if b.Confidence >= clickSure && b.BPM > 0 {
		left, part = offGrid(left, 60/b.BPM/4*k.rate)
	}
	scenes := make([]float64, max(1, int(minutes*60/clickScene)))
	for _, t := range left {
		scenes[min(len(scenes)-1, int(float64(t.cell)/k.rate/clickScene))]++
	}
	rate := float64(len(left)) / minutes / part
	even := share(scenes, clickScenes) >= 1 && slices.Max(scenes) <= clickOneScene*float64(len(left))
	clear := clearOf(left)
	if len(left) < clickTotal || rate < clickFew || !even || clear < clickClearShare*float64(len(left)) || k.loops(left) {
		return judged{}
	}
	return judged{rate, clear / minutes / part, left}
}

// clearOf counts the ticks that are clear.
func clearOf(found []tick) (n float64) {
	for _, t := range found {
		if t.ratio >= clickClear {
			n++
		}
	}
	return n
}
