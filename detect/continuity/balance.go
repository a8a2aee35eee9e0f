package continuity

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// weakDB is the least that a channel lies under the other in the low end to be weak,
	// and weakRest what the rest must then show at least, on the same side: a gain
	// acts on all alike, while panned instruments leave kick and bass in the middle.
	// Mixes lie within 1 dB there (common practice, no source).
	weakDB, weakRest = 1.5, 1.0
	// centred is the correlation in the low end from which it has one source, in the
	// middle or where a gain has put it.
	centred = 0.9
	// lowLeast is the level of a block's low end, in dBFS, from which it tells anything.
	lowLeast = -50.0
	// weakBlocks is the least number of blocks that speak, 10 s.
	weakBlocks = 40
	// weakMost is the difference that is an instrument on one side, not a weak channel:
	// beyond it the channels hold different music.
	weakMost = 30.0
	// leanDB is the difference of the whole levels from which one channel is weak: mixes
	// lie within 1 or 2 dB, cartridges within 2 (common practice). Past deadDB, or under
	// deadLevel in dBFS, a channel is dead, which package faults says; under quietDB there
	// is nothing.
	leanDB, deadDB, deadLevel, quietDB = 6.0, 50.0, -80.0, -60.0
	// partLeast is the shortest part with another balance, in seconds, and partMost the
	// greatest share of the track: more is the rule, not the exception.
	partLeast, partMost = 2.5, 0.6
	// partDB is how far the balance of a part must lie off that of the rest, in the low
	// end, partRest how far in the rest, and partSame how far the two may differ.
	partDB, partRest, partSame = 1.5, 1.2, 1.2
	// smoothBlocks is over how many blocks, on both sides, the balance is a median.
	smoothBlocks = 4
	// A gain acts at once: at the edges of a part the balance steps by as much as the part
	// is off, within stepSame dB, from the stepBlocks before to those after the one that
	// the edge lies in.
	stepBlocks = 3
	stepSame   = 0.8
	// flipped is the correlation of a part with wrong polarity at most; the rest of the
	// track has at least as much upright. The low end must be upside down too.
	flipped = -0.2
	// flipStep is how far the correlation before and after an edge may be from being one
	// another's opposite, and flipLow the least that it has in the low end.
	flipStep, flipLow = 0.35, 0.6
	// flipLeast is the shortest such part in seconds.
	flipLeast = 0.75
)

// weigh is the balance of one block.
type weigh struct {
	speaks     bool    // and it has one source
	low, rest  float64 // left over right in dB
	corr, lowC float64
	at         int
}

func (b *block) weigh() weigh {
	w := weigh{}
	l, r := float64(b.low[0]), float64(b.low[1])
	restL, restR := float64(b.power[0])-l, float64(b.power[1])-r
	if decibels(l+r) < lowLeast || l <= 0 || r <= 0 || restL <= 0 || restR <= 0 {
		return w
	}
	w.low = 10 * math.Log10(l/r)
	w.rest = 10 * math.Log10(restL/restR)
	w.lowC = float64(b.lowCross) / math.Sqrt(l*r)
	w.corr = float64(b.cross) / math.Sqrt(float64(b.power[0])*float64(b.power[1]))
	w.speaks = math.Abs(w.lowC) >= centred && math.Abs(w.low) < weakMost && math.Abs(w.rest) < weakMost
	return w
}

// balance judges the channels against each other, over the track and in parts.
func (m *Meter) balance() []Finding {
	if len(m.buf) < 2 {
		return nil
	}
	var ws []weigh
	for i := range m.blocks.list {
		if w := m.blocks.list[i].weigh(); w.speaks {
			w.at = i
			ws = append(ws, w)
		}
	}
	if len(ws) < weakBlocks {
		return m.leaning()
	}
	out := m.weak(ws)
	if out == nil {
		out = m.leaning()
	}
	out = append(out, m.parts(ws)...)
	return append(out, m.flips(ws)...)
}

// leaning names a channel that lies far under the other, whatever the low end says.
func (m *Meter) leaning() []Finding {
	var p [2]float64
	for i := range m.blocks.list {
		p[0] += float64(m.blocks.list[i].power[0])
		p[1] += float64(m.blocks.list[i].power[1])
	}
	n := float64(max(1, len(m.blocks.list)))
	d := decibels(p[0]/n) - decibels(p[1]/n)
	if math.Abs(d) < leanDB || math.Abs(d) > deadDB || decibels(max(p[0], p[1])/n) < quietDB || decibels(min(p[0], p[1])/n) < deadLevel {
		return nil
	}
	return []Finding{{
		Kind: reason.WeakChannel, At: math.NaN(), Until: math.NaN(), Figure: math.Abs(d),
		Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than the other", weaker(d), math.Abs(d)),
	}}
}

// weak names a channel that is down in the whole track.
func (m *Meter) weak(ws []weigh) []Finding {
	low, rest := medianOf(ws, lowOf), medianOf(ws, restOf)
	if side := math.Copysign(1, low); math.Abs(low) < weakDB || side*rest < weakRest {
		return nil
	}
	d := (math.Abs(low) + math.Abs(rest)) / 2
	return []Finding{{
		Kind: reason.WeakChannel, At: math.NaN(), Until: math.NaN(), Figure: d,
		Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than the other, in the low end as in the rest", weaker(low), d),
	}}
}

func weaker(leftOverRight float64) string {
	if leftOverRight > 0 {
		return "right"
	}
	return "left"
}

func lowOf(w weigh) float64  { return w.low }
func restOf(w weigh) float64 { return w.rest }
func corrOf(w weigh) float64 { return w.corr }

func medianOf(ws []weigh, of func(weigh) float64) float64 {
	v := make([]float64, len(ws))
	for i, w := range ws {
		v[i] = of(w)
	}
	slices.Sort(v)
	return v[len(v)/2]
}

// runs gives the stretches of blocks that are all odd, but for one or two at a time.
func runs(n int, odd func(i int) bool) [][2]int {
	var out [][2]int
	for i := 0; i < n; i++ {
		if !odd(i) {
			continue
		}
		last := i
		for j := i + 1; j < n && j-last <= 3; j++ {
			if odd(j) {
				last = j
			}
		}
		out = append(out, [2]int{i, last + 1})
		i = last
	}
	return out
}

// smooth gives the running median of a quantity.
func smooth(ws []weigh, of func(weigh) float64) []float64 {
	out := make([]float64, len(ws))
	for i := range ws {
		out[i] = medianOf(ws[max(0, i-smoothBlocks):min(len(ws), i+smoothBlocks+1)], of)
	}
	return out
}

// edges tells whether a stretch begins and ends with a step: what lies on both sides of
// an edge, the means of stepBlocks blocks, must pass. Where the track begins or ends with
// the stretch, one edge is enough.
func edges(ws []weigh, r [2]int, step func(out, in weigh) bool) bool {
	const n = stepBlocks
	seen := 0
	for i, e := range r {
		if i == 0 && e < n || i == 1 && e+n > len(ws) {
			continue
		}
		// The edge may lie in a block on either side of where it was found.
		ok := false
		for at := e - 3; at <= e+3 && !ok; at++ {
			if at-n < 0 || at+1+n > len(ws) || ws[at+n].at-ws[at-n].at > 3*n {
				continue
			}
			a, b := mean(ws[at-n:at]), mean(ws[at+1:at+1+n])
			if i == 1 {
				a, b = b, a
			}
			ok = step(a, b)
		}
		if !ok {
			return false
		}
		seen++
	}
	return seen > 0
}

func mean(ws []weigh) weigh {
	var m weigh
	n := float64(len(ws))
	for _, w := range ws {
		m.low += w.low / n
		m.rest += w.rest / n
		m.corr += w.corr / n
		m.lowC += w.lowC / n
	}
	return m
}

// parts names those in which a gain has moved the balance.
func (m *Meter) parts(ws []weigh) []Finding {
	var out []Finding
	lows, rests := smooth(ws, lowOf), smooth(ws, restOf)
	low, rest := medianOf(ws, lowOf), medianOf(ws, restOf)
	for _, side := range []float64{1, -1} {
		for _, r := range runs(len(ws), func(i int) bool {
			return side*(lows[i]-low) >= partDB*0.6 && side*(rests[i]-rest) >= partRest*0.6
		}) {
			part := ws[r[0]:r[1]]
			others := append(slices.Clone(ws[:r[0]]), ws[r[1]:]...)
			at, seconds := m.time(part)
			if seconds < partLeast || float64(len(part)) > partMost*float64(len(ws)) {
				continue
			}
			l := side * (medianOf(part, lowOf) - medianOf(others, lowOf))
			k := side * (medianOf(part, restOf) - medianOf(others, restOf))
			if l < partDB || k < partRest || math.Abs(l-k) > partSame || !edges(ws, r, func(out, in weigh) bool {
				return math.Abs(side*(in.low-out.low)-l) <= stepSame && math.Abs(side*(in.rest-out.rest)-k) <= stepSame
			}) {
				continue
			}
			out = append(out, Finding{
				Kind: reason.WeakPart, At: at, Until: at + seconds, Figure: (l + k) / 2,
				Detail: fmt.Sprintf("the %s channel is %.1f dB weaker than in the rest of the track for %s from %s", weaker(side), (l+k)/2, span(seconds), clock(at)),
			})
		}
	}
	return out
}

// time gives the place and length of a part in seconds.
func (m *Meter) time(part []weigh) (at, seconds float64) {
	first, last := part[0].at, part[len(part)-1].at
	return float64(first) * m.blocks.seconds, float64(last-first+1) * m.blocks.seconds
}

// flips names the parts in which one channel is upside down.
func (m *Meter) flips(ws []weigh) []Finding {
	if medianOf(ws, corrOf) < -flipped {
		return nil
	}
	var out []Finding
	for _, r := range runs(len(ws), func(i int) bool { return ws[i].lowC < 0 && ws[i].corr <= flipped }) {
		part := ws[r[0]:r[1]]
		at, seconds := m.time(part)
		if seconds < flipLeast || !edges(ws, r, func(out, in weigh) bool {
			return math.Abs(out.corr+in.corr) <= flipStep && out.corr > -flipped && out.lowC >= flipLow && in.lowC <= -flipLow
		}) {
			continue
		}
		c := medianOf(part, corrOf)
		out = append(out, Finding{
			Kind: reason.PolarityPart, At: at, Until: at + seconds, Figure: c,
			Detail: fmt.Sprintf("one channel is upside down for %s from %s: correlation %.2f, in the low end too", span(seconds), clock(at), c),
		})
	}
	return out
}
