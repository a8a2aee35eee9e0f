package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// turnedFrom and turnedTo bound the gain of what is turned upside down, or of a
	// difference of the channels that change sides.
	turnedFrom, turnedTo = -1.25, -0.8
	// lessFrom and lessTo bound the gain of a channel that drops: of 80 minutes of clean
	// masters used for fitting none has such a place.
	lessFrom, lessTo = 0.4, 0.86
	// backSame is how far the gain of a channel that comes back may lie off the inverse of
	// that of the drop.
	backSame = 0.08
	// leansBy is the least share of a drop that the balance of 2 s must show, where it begins
	// or, if that was seen, ends: where both channels drop, one may be near zero just then.
	leansBy = 0.4
	// leansOff is how far, in dB, the balance may move more or less than by a rise.
	leansOff = 1.2
	// editMost is the number of edits of one signal in a track that may still be faults; more
	// are its style.
	editMost = 8
	// So many others within crowdSeconds of a place where the channels change sides are a
	// wave that jumps.
	crowdMost, crowdSeconds = 3, 1.0
	// sidesBehind is how many times less the prediction must fail backwards with the other sign
	// where channels change sides, and sidesSame how far the size of the gain may be off 1, as
	// a share: of 170 such edges that are seen in 39 masters used for fitting 165 have 20 and
	// more, and 162 are 0.1 off at most. Where notes begin or a crackle lies it is 0, or the gain
	// is farther off. Such places lie in tracks with edits of one channel, too: in one that has
	// none of these it is enough that the prediction fails sidesPlain times less forwards.
	sidesBehind, sidesSame, sidesPlain = 15.0, 0.1, 15.0
	// sidesSure times less forwards is enough by itself: of 142 clean masters none has a place
	// with 100.
	sidesSure = 300.0
)

// editsOf lists the edits of a signal that pass, in order; nil where the track is made of
// edits.
func (m *Meter) editsOf(what int, pass func(edit) bool) []edit {
	if m.edits == nil || m.edits.more {
		return nil
	}
	var out []edit
	all := 0
	for _, e := range m.edits.found {
		if e.what != what && !(what == editSide && e.what == editWave) {
			continue
		}
		if all++; all > editMost {
			return nil
		}
		if e.what == what && pass(e) {
			out = append(out, e)
		}
	}
	return out
}

// meant tells that an edit lies on a beat, as the arrangement's do.
func (m *Meter) meant(e edit, g Grid) bool { return g.known() && g.off(m.seconds(e.at), 1) <= gridNear }

// crowded tells that an edit is one of many.
func (m *Meter) crowded(e edit) bool {
	n := -1 // itself
	for _, o := range m.edits.found {
		if math.Abs(m.seconds(o.at-e.at)) <= crowdSeconds {
			n++
		}
	}
	return n > crowdMost
}

func (e edit) turns() bool { return turns(e.gain) }

// turns tells whether a gain is a change of the sign alone.
func turns(gain float64) bool { return gain >= turnedFrom && gain <= turnedTo }

// changesSides tells whether the channels change sides at an edit: the prediction says so from
// both its sides, or from before in a track that has no edits of one channel, or surely so.
func (m *Meter) changesSides(e edit) bool {
	alone := !slices.ContainsFunc(m.edits.found, func(o edit) bool { return o.what != editSide })
	sure := e.behind >= sidesBehind || e.better >= sidesSure
	return sure && sameSize(e.gain) || alone && e.turns() && e.better >= sidesPlain
}

// sameSize tells whether a gain is that of channels that change sides.
func sameSize(gain float64) bool {
	return gain < 0 && math.Abs(math.Log(-gain)) <= math.Log(1+sidesSame)
}

// exchanged names the places where the channels change sides within a sample.
func (m *Meter) exchanged(g Grid) []Finding {
	all := m.editsOf(editSide, func(e edit) bool {
		return m.changesSides(e) && !m.meant(e, g) && !m.crowded(e)
	})
	var out []Finding
	for i := 0; i < len(all); i++ {
		at := m.seconds(all[i].at)
		f := Finding{Kind: reason.SwappedPart, At: at, Until: at, Detail: fmt.Sprintf("left and right change sides at once at %s", reason.Place(at))}
		if i+1 < len(all) {
			i++
			f.Until = m.seconds(all[i].at)
			f.Figure = f.Until - at
			f.Detail = fmt.Sprintf("left and right have changed sides for %s from %s", span(f.Figure), reason.Place(at))
		}
		out = append(out, f)
	}
	return out
}

// upturned names the parts in which one channel is upside down, by the places where it
// turns within a sample. Where only one of the two was seen, the low end tells the other.
func (m *Meter) upturned(ws []weigh) []Finding {
	var out []Finding
	for _, what := range []int{editLeft, editRight} {
		all := m.editsOf(what, edit.turns)
		for i := 0; i < len(all); i++ {
			from, to := m.opposed(ws, m.seconds(all[i].at))
			if i+1 < len(all) {
				from, to = m.seconds(all[i].at), m.seconds(all[i+1].at)
				i++
			}
			to = math.Min(to, m.seconds(m.total())) // the last block may be filled up
			if a, b := m.blockAt(from, len(ws)), m.blockAt(to, len(ws)); a < b {
				out = append(out, m.flip(ws[a:b], from, to))
			}
		}
	}
	return out
}

func (m *Meter) blockAt(t float64, n int) int {
	return max(0, min(n, int(math.Round(t/m.blocks.seconds))))
}

// opposed is the part, before or after a time, in which the channels work against each
// other in the low end; the time alone where none does.
func (m *Meter) opposed(ws []weigh, t float64) (from, to float64) {
	i := m.blockAt(t, len(ws))
	reach := func(direction int) int {
		k := i
		if direction < 0 {
			k--
		}
		n := 0
		for ; k >= 0 && k < len(ws) && !(ws[k].speaks && ws[k].lowC > 0); k += direction {
			if ws[k].speaks {
				n = max(k-i, i-k-1) + 1
			}
		}
		return n
	}
	if before, after := reach(-1), reach(1); before > after {
		return t - float64(before)*m.blocks.seconds, t
	} else {
		return t, t + float64(after)*m.blocks.seconds
	}
}

// beside adds to what was found what more tells, but for what is of the same kind and
// overlaps.
func beside(found, more []Finding) []Finding {
	const near = 1.0 // s
	for _, f := range more {
		if !slices.ContainsFunc(found, func(o Finding) bool {
			return o.Kind == f.Kind && o.At <= f.Until+near && o.Until >= f.At-near
		}) {
			found = append(found, f)
		}
	}
	return found
}
