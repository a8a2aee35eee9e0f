package continuity

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// flipped is the correlation, in the low end, on both sides of where a channel turns
	// upside down, and flipSame how far that of the rest may be off its own opposite.
	flipped, flipSame = 0.6, 0.4
	// flipBlocks is what is looked at there, and so the shortest such part.
	flipBlocks = 3
	// Where no low end speaks, the rest must turn by more and be as much the opposite.
	flippedRest, flipRestSame = 0.4, 0.25
)

// flips names the parts in which one channel is upside down.
func (m *Meter) flips(ws []weigh) []Finding {
	var out []Finding
	from := -1
	for i := range ws {
		switch d := flipAt(ws, i); {
		case d < 0 && from < 0:
			from = i
		case d > 0 && from >= 0:
			out = append(out, m.flip(ws[from:i], float64(from)*m.blocks.seconds, float64(i)*m.blocks.seconds))
			from = -1
		}
	}
	return out
}

// flipAt is -1 where a channel turns upside down, 1 where it comes back, else 0.
func flipAt(ws []weigh, i int) int {
	before, after := stretchOf(ws, i-1, -1, flipBlocks, stepReach, speaks), stretchOf(ws, i+1, 1, flipBlocks, stepReach, speaks)
	rest := [2][]weigh{stretchOf(ws, i-1, -1, flipBlocks, stepBlocks, heard), stretchOf(ws, i+1, 1, flipBlocks, stepBlocks, heard)}
	if min(len(rest[0]), len(rest[1])) < flipBlocks {
		return 0
	}
	c, _ := spread(rest[0], func(w *weigh) float64 { return w.corr })
	d, _ := spread(rest[1], func(w *weigh) float64 { return w.corr })
	if min(len(before), len(after)) < flipBlocks {
		if math.Abs(c+d) > flipRestSame || c*d > -flippedRest*flippedRest || !levelsGoOn(rest) {
			return 0
		}
		return int(math.Copysign(1, d))
	}
	a, _ := spread(before, func(w *weigh) float64 { return w.lowC })
	b, _ := spread(after, func(w *weigh) float64 { return w.lowC })
	if math.Abs(a) < flipped || math.Abs(b) < flipped || a*b > 0 || math.Abs(c+d) > flipSame {
		return 0
	}
	return int(math.Copysign(1, b))
}

func (m *Meter) flip(part []weigh, at, to float64) Finding {
	c, _ := mean(part, heard, func(w *weigh) float64 { return w.corr })
	return Finding{
		Kind: reason.PolarityPart, At: at, Until: to, Figure: c,
		Detail: fmt.Sprintf("one channel is upside down for %s from %s: correlation %.2f", span(to-at), reason.Place(at), c),
	}
}
