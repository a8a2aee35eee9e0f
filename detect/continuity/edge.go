package continuity

import "math"

const (
	// nearSeconds is the part of an edge that tells whether the sound is at level right
	// beside it; farSeconds what level that is. A kick's or hat's attack and decay
	// take longer than the first, a beat longer than the second.
	nearSeconds, farSeconds = 0.0015, 0.05
	// early is where the level is looked at that an encoder's window (up to 26 ms, and
	// its echo as much before) has not blurred: from 40 to 90 ms off the edge.
	earlySeconds = 0.04
	// cutDB: going away from a gap the sound is back where a stretch of nearSeconds is
	// within this of the level.
	cutDB = 10.0
	// skirtParts stretches of nearSeconds nearer to the gap an encoder has left its noise
	// at most, skirtDB under the level; a note that is let go is on its way there.
	skirtParts, skirtDB = 4, 22.0
)

// edge is the sound on one side of a gap. Powers are mean squares.
type edge struct {
	near, far, early float64
	jump             float64 // the higher of the two samples at the edge, a magnitude
	leap, slope      float64 // the greatest of the three differences of samples at the edge, and their RMS in 50 ms
	cut              int     // samples from the gap to where the sound is at level
	skirt            float64 // mean square between the gap and there, but for what is nearest
	known            int     // samples that there are on this side, up to edgeSeconds
}

// view is a stretch of one channel at hand: x[i] is sample base+i of the track.
type view struct {
	x    []float32
	base int64
	edge int // samples of edgeSeconds
}

// before measures the sound that ends at place at of the view.
func (v view) before(at int, rate float64) edge {
	return edgeOf(v.x, at, -1, min(at, v.edge), rate)
}

// after measures the sound that begins at place at of the view.
func (v view) after(at int, rate float64) edge {
	return edgeOf(v.x, at, 1, min(len(v.x)-at, v.edge), rate)
}

// edgeOf looks at known samples from at on in a direction.
func edgeOf(x []float32, at, direction, known int, rate float64) edge {
	part := func(from, to float64) []float32 {
		f, t := min(known, int(from*rate)), min(known, int(to*rate))
		if direction < 0 {
			return x[at-t : at-f]
		}
		return x[at+f : at+t]
	}
	e := edge{
		near: power(part(0, nearSeconds)), far: power(part(0, farSeconds)),
		early: power(part(earlySeconds, edgeSeconds)), known: known,
	}
	for i := range min(2, known) {
		j := at + i
		if direction < 0 {
			j = at - 1 - i
		}
		e.jump = max(e.jump, math.Abs(float64(x[j])))
	}
	e.leap, e.slope = leaps(part(0, farSeconds), direction)
	want := max(e.far, e.early) * math.Pow(10, -cutDB/10)
	var parts [skirtParts]float64 // the last ones
	for s := 0.0; s < edgeSeconds; s += nearSeconds {
		p := power(part(s, s+nearSeconds))
		if p >= want {
			e.cut, e.skirt = int(s*rate), parts[0]
			break
		}
		copy(parts[:], parts[1:])
		parts[skirtParts-1] = p
	}
	return e
}

// leapSamples is how many differences of samples at an edge tell whether a sound begins
// there: by chance all of three are small at 1 % of cuts.
const leapSamples = 3

// leaps gives the greatest difference of samples next to the edge, and the RMS of all.
func leaps(x []float32, direction int) (leap, slope float64) {
	for i := 1; i < len(x); i++ {
		d := float64(x[i] - x[i-1])
		slope += d * d
		if direction > 0 && i <= leapSamples || direction < 0 && i >= len(x)-leapSamples {
			leap = max(leap, math.Abs(d))
		}
	}
	return leap, math.Sqrt(slope / float64(max(1, len(x)-1)))
}

const (
	// soundDB is the level that sound beside a gap must have for the gap to be heard as
	// one, in dBFS RMS.
	soundDB = -40.0
	// sharpNear is how far the level right at a sharp edge may lie under that of the
	// 50 ms beside it, in dB, and sharpJump what one of the two samples at the edge must
	// have of its amplitude: a note that fades, or is cut at a zero crossing, has not.
	// One cut in 12 falls on smaller samples by chance.
	sharpNear, sharpJump = 12.0, 0.1
	// steepSeconds is within what time of the gap the level must be there for an edge
	// that an encoder may have blurred: its frame of up to 26 ms and as much again.
	steepSeconds = 0.055
	// abruptSeconds and abruptDB are what an encoder makes of a cut within a sample: the
	// level is there so soon, and nearer to the gap the sound is so far under it, right
	// beside it by abruptNear. A gate of 20 ms leaves 27 dB there.
	abruptSeconds, abruptDB, abruptNear = 0.020, 30.0, 40.0
)

// sounds tells whether there is sound at level beside the gap.
func (e edge) sounds() bool { return decibels(max(e.far, e.early)) >= soundDB }

// atLevel tells whether the sound is at level right beside the gap.
func (e edge) atLevel() bool {
	return decibels(e.far) >= soundDB && e.near >= e.far*math.Pow(10, -sharpNear/10)
}

// sharp tells whether the sound is cut within a sample.
func (e edge) sharp() bool { return e.atLevel() && e.jump >= sharpJump*math.Sqrt(e.far) }

// steep tells whether the sound is cut, as far as an encoder leaves that to be seen.
func (e edge) steep(rate float64) bool {
	return e.sounds() && float64(e.cut) <= steepSeconds*rate && e.known > 0 &&
		e.skirt <= max(e.far, e.early)*math.Pow(10, -skirtDB/10)
}

// abrupt tells whether the sound is cut within a sample, as an encoder leaves that.
func (e edge) abrupt(rate float64) bool {
	level := max(e.far, e.early)
	return e.sounds() && e.known > 0 && float64(e.cut) <= abruptSeconds*rate &&
		e.skirt <= level*math.Pow(10, -abruptDB/10) && e.near <= level*math.Pow(10, -abruptNear/10)
}

// decibels turns a mean square into dB; silence is -200.
func decibels(p float64) float64 { return 10 * math.Log10(max(p, 1e-20)) }
