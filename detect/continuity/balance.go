package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// centred is the correlation in the low end from which it has one source, in the
	// middle or where a gain has put it.
	centred = 0.9
	// lowLeast is the level of a block's low end, in dBFS, from which it tells anything,
	// blockLeast that of the whole of it.
	lowLeast, blockLeast = -50.0, -50.0
	// weakMost is the difference that is an instrument on one side, not a weak channel:
	// beyond it the channels hold different music.
	weakMost = 30.0
	// leanDB is the difference of the whole levels from which one channel is weak: mixes
	// lie within 1 or 2 dB, cartridges within 2 (common practice). Past deadDB, or under
	// deadLevel in dBFS, a channel is dead, which package faults says; under quietDB there
	// is nothing.
	leanDB, deadDB, deadLevel, quietDB = 6.0, 50.0, -80.0, -60.0
)

// weigh is the balance of one block: left over right in dB in the low end, in the rest
// and where differences weigh the top, and the correlation of the low end and the rest.
type weigh struct {
	heard, speaks  bool // something plays; the low end has one source
	low, rest, top float64
	corr, lowC     float64
	levels         [2]levels
}

// levels are those of a channel in a block, in dB: of the whole, of the low end, and of
// the differences, which weigh the top.
type levels [3]float64

func (b block) weigh() weigh {
	w := weigh{}
	b = b.swinging()
	l, r := float64(b.low[0]), float64(b.low[1])
	restL, restR := float64(b.power[0])-l, float64(b.power[1])-r
	if !(restL > 0) || !(restR > 0) || !(b.slope[0] > 0) || !(b.slope[1] > 0) || decibels(float64(b.power[0]+b.power[1])) < blockLeast {
		return w
	}
	w.heard = true
	for c := range w.levels {
		w.levels[c] = levels{decibels(float64(b.power[c])), decibels(float64(b.low[c])), decibels(float64(b.slope[c]))}
	}
	w.rest = decibels(restL) - decibels(restR)
	w.top = decibels(float64(b.slope[0])) - decibels(float64(b.slope[1]))
	w.corr = float64(b.cross-b.lowCross) / math.Sqrt(restL*restR)
	if decibels(l+r) < lowLeast || !(l > 0) || !(r > 0) {
		return w
	}
	w.low = decibels(l) - decibels(r)
	w.lowC = float64(b.lowCross) / math.Sqrt(l*r)
	w.speaks = math.Abs(w.lowC) >= centred && math.Abs(w.low) < weakMost
	return w
}

// balance judges the channels against each other, over the track and in parts.
func (m *Meter) balance(g Grid) []Finding {
	if len(m.buf) < 2 {
		return nil
	}
	ws := make([]weigh, len(m.blocks.list))
	for i := range m.blocks.list {
		ws[i] = m.blocks.list[i].weigh()
	}
	out := m.weak(ws)
	if out == nil {
		out = m.leaning()
	}
	out = append(out, beside(m.parts(ws), m.dropped(g, ws))...)
	out = append(out, beside(m.swapped(ws), m.exchanged(g))...)
	return append(out, beside(m.flips(ws), m.upturned(ws))...)
}

// leaning names a channel that lies far under the other, whatever the bands say.
func (m *Meter) leaning() []Finding {
	var p [2]float64
	for i := range m.blocks.list {
		b := m.blocks.list[i].swinging()
		p[0] += float64(b.power[0])
		p[1] += float64(b.power[1])
	}
	n := float64(max(1, len(m.blocks.list)))
	d := decibels(p[0]/n) - decibels(p[1]/n)
	if math.Abs(d) < leanDB || math.Abs(d) > deadDB || decibels(max(p[0], p[1])/n) < quietDB || decibels(min(p[0], p[1])/n) < deadLevel {
		return nil
	}
	return []Finding{weakWhole(d)}
}

func weakWhole(leftOverRight float64) Finding {
	d := math.Abs(leftOverRight)
	return Finding{
		Kind: reason.WeakChannel, At: math.NaN(), Until: math.NaN(), Figure: d,
		Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than the other", weaker(leftOverRight), d),
	}
}

func weaker(leftOverRight float64) string {
	if leftOverRight > 0 {
		return "right"
	}
	return "left"
}
