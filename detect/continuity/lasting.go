package continuity

import "math"

// lasting finds the one step of a track that nothing takes back: a part that goes to the
// end, or from the beginning on, whichever is shorter. Kick and bass, the rest and the top
// must all tell it, and the music go on across it.
func (m *Meter) lasting(ws []weigh, all []step) (pair [2]step, ok bool) {
	if len(all) != 1 || !all[0].low || !all[0].nearlyAlike() || !goesOn(ws, all[0].at) {
		return pair, false
	}
	s := all[0]
	part, rest := [2]step{s, {at: len(ws), db: -s.db}}, ws[:s.at]
	if 2*s.at < len(ws) {
		part, rest = [2]step{{db: -s.db}, s}, ws[s.at+1:]
	}
	inside, n := mean(ws[part[0].at:part[1].at], speaks, lowOf)
	outside, k := mean(rest, speaks, lowOf)
	long := float64(part[1].at-part[0].at)*m.blocks.seconds >= partLeast
	return part, long && min(n, k) >= stepBlocks && math.Abs(inside-outside-part[0].db) <= partSame
}

func (s step) nearlyAlike() bool { return s.alike || s.solid && s.apart <= stepNearly }
