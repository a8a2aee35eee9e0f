package kick

import "math"

const (
	// A note before a kick is looked at up to 12 ms before the attack: what ducks ahead of it does so
	// by about 10 ms (common practice, no source). Of songs whose notes are known, 130 ms found most.
	beforeFrom, beforeTo = 0.130, 0.012
	// endSeconds before that are held against the whole: a note that is endDB weaker there has ended.
	endSeconds = 0.045
	endDB      = 2.0
	// silentDB under the strongest there is no note, but the tail of the kick before.
	silentDB = 20.0
	// afterSeconds is the length of the window behind the kick.
	afterSeconds = 0.080
	// strayPhase is how far the phase behind the kick may be from where the note before it leads,
	// radians: of notes struck anew, whose phases are anywhere, one in ten is so near.
	strayPhase = 0.3
	// risesDB and fallsDB are by how much the note may be stronger and weaker behind the kick: it dies
	// away, and what ducks it has not let go of all of it.
	risesDB, fallsDB = 3.0, 6.0
	// fewestHeld kicks make a figure.
	fewestHeld = 8
	// heldShare is the least share of the kicks with one note before and behind them that it has to run
	// on through: of notes struck anew one in ten seems to at each place looked at.
	heldShare = 0.5
)

// afterEnds are where the window behind the kick may end, seconds after the attack: late, where the
// kick is gone, or before the next note.
var afterEnds = [...]float64{0.450, 0.370, 0.300, 0.240}

// heldNote is a note that sounds on through the kick that begins at a sample.
type heldNote struct {
	at int
	run
}

// held are the kicks that a note runs on through; none where that may be chance. A note that ends
// before the kick, begins with it or behind it, or is struck anew at it is not held.
func (b *bottom) held() []heldNote {
	befores := make([]run, len(b.hits))
	for i, at := range b.hits {
		if from := at - b.samples(beforeFrom); from >= 0 {
			befores[i] = runOf(b.y, from, at-b.samples(beforeTo), b.rate)
		}
	}
	var out []heldNote
	same, quiet := 0, quietest(befores)
	for i, hz := range tuned(befores) {
		if befores[i].share < ownShare || befores[i].amplitude < quiet {
			continue
		}
		at := b.hits[i]
		before := runAt(b.y, at-b.samples(beforeFrom), at-b.samples(beforeTo), b.rate, hz)
		end := runAt(b.y, at-b.samples(beforeTo+endSeconds), at-b.samples(beforeTo), b.rate, hz)
		if dB(end.amplitude/before.amplitude) < -endDB {
			same++
			continue
		}
		note, on, there := b.through(i, before)
		if on {
			out = append(out, heldNote{at, note})
		}
		if there {
			same++
		}
	}
	if len(out) < fewestHeld || float64(len(out)) < heldShare*float64(same) {
		return nil
	}
	return out
}

// quietest is the amplitude under which there is no note.
func quietest(notes []run) float64 {
	most := 0.0
	for _, n := range notes {
		most = max(most, n.amplitude)
	}
	return most * math.Pow(10, -silentDB/20)
}

// through looks for the note of before kick i behind it: there tells that it sounds there, on that it
// is where the phase leads.
func (b *bottom) through(i int, before run) (note run, on, there bool) {
	at := b.hits[i]
	gap := len(b.y) - at
	if i+1 < len(b.hits) {
		gap = b.hits[i+1] - at
	}
	for _, seconds := range afterEnds {
		to := b.samples(seconds)
		if to > gap-b.samples(beforeTo) {
			continue
		}
		after := b.behind(at, to-b.samples(afterSeconds), to, before.hz)
		if level := dB(after.amplitude / before.amplitude); after.share < ownShare || level > risesDB || level < -fallsDB {
			continue
		}
		there = true
		if note, on := led(before, after, b.rate); on {
			return note, true, true
		}
	}
	return run{}, false, there
}

// behind is what sounds at a frequency from and to so many samples after an attack, without the kick.
func (b *bottom) behind(at, from, to int, hz float64) run {
	z := make([]complex64, to-from)
	for k := range z {
		z[k] = b.y[at+from+k]
		if from+k < len(b.kick) {
			z[k] -= b.kick[from+k]
		}
	}
	r := runAt(z, 0, len(z), b.rate, hz)
	r.middle += float64(at + from)
	return r
}

// led is the note of before a kick, with the phase of both ends.
func led(before, after run, rate float64) (run, bool) {
	off := stray(before, after, rate)
	before.hz += off / 2 / math.Pi / (after.middle - before.middle) * rate
	return before, math.Abs(off) <= strayPhase
}
