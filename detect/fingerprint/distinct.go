package fingerprint

import "math/bits"

const (
	// blockSteps is the length of a block, 4.1 s: two bars.
	blockSteps = 22
	// blockHeard of its sub-prints must be the same music.
	blockHeard = 18
	// repeatShare is the share of the bits by which a block may differ from another that
	// it repeats: a loop comes again between two frames.
	repeatShare = 0.25
	// repeatLeast is how far a block must lie from what it repeats, in sub-prints: nearer
	// ones have frames in common.
	repeatLeast = frames + apart
)

// distinct is how many of the seconds that are noted on p do not repeat others: a loop
// counts once.
func (l *laid) distinct(p Print) float64 {
	n := 0
	for at := 0; at+blockSteps <= len(p); {
		if !l.whole(at) {
			at++
			continue
		}
		if !l.repeats(p, at) {
			n++
		}
		at += blockSteps
	}
	return float64(n*blockSteps) * Step
}

// whole tells that there is a block of the same music.
func (l *laid) whole(at int) bool {
	heard := 0
	for _, d := range l.best[at : at+blockSteps] {
		if d != unheard {
			heard++
		}
	}
	return heard >= blockHeard
}

// repeats tells that the block is like another before it.
func (l *laid) repeats(p Print, at int) bool {
	const most = int(repeatShare * bitsPrint * blockSteps)
	for before := 0; before+repeatLeast <= at; before++ {
		if l.best[before] == unheard {
			continue
		}
		sum := 0
		for i, v := range p[at : at+blockSteps] {
			if sum += bits.OnesCount32(v ^ p[before+i]); sum > most {
				break
			}
		}
		if sum <= most {
			return true
		}
	}
	return false
}
