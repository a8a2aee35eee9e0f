package tempo

import "math"

// bar is the number of beats to a bar.
const bar = 4

// lineWeights say how much each sign speaks for a bar line: a softmax over the four beats of
// a bar of their mean signs. Fitted (ridge 0.01, a quarter for those behind the sixteenths) to
// 54 songs of nine genres of even seeds, to them without their first one to three beats, to
// clips of them of 20 to 45 s, to 70 synthesised grooves and to half of 49 open pieces whose
// bars are known from their scores.
var lineWeights = lineSign{
	// low, mid, high, kicks: the sixteenths of a bar
	0.58, 0.24, -0.10, 0.68, -0.40, -0.25, -0.02, -0.76, 0.11, -0.08, 0.28, 0.42, -0.25, 0.09, -0.13, -0.30,
	0.24, -0.30, -0.17, 0.47, 0.00, 0.07, 0.10, -0.34, -0.40, 0.10, 0.34, -0.31, 0.21, 0.13, -0.26, 0.19,
	-0.69, 0.02, 0.53, -0.12, 0.29, -0.29, -0.08, -0.12, -0.31, 0.01, -0.12, 0.05, 0.68, 0.26, -0.33, 0.20,
	0.79, 0.13, -0.19, 0.45, -0.30, -0.13, -0.28, -0.40, -0.19, -0.12, 0.28, -0.06, -0.25, 0.12, 0.23, 0.02,
	// changes of the low, middle and high bands, over two beats, of sections; a beginning
	1.91, 0.58, -0.10, 2.90, 0.54, 0.78,
}

const (
	// plain is the chance from which a downbeat is given. Of those of odd seeds 98 % are
	// then right.
	plain = 0.75
	// barsLeast is the least number of bars that are asked.
	barsLeast = 6
	// threes is how much more alike beats must be to those three and six before than to those
	// four and eight before to be of a bar of three: such measure 0.2 to 0.75, bars of four 0.95 and more.
	threes = 0.9
	// twos is how much less alike beats may be to those two and six before than to those four
	// and eight before to be of bars of two. Bars of three that are read at two thirds of their
	// tempo are such, and in triplets: they measure 0.8 to 1.2.
	twos = 1.25
	// A bar line that another beat takes over for one side of the track, by so many standard
	// errors there while it leads by as many on the other, does not hold: 75 % of the songs
	// with a beat too many measure more, 95 % of whole ones less. A side has sideBars at least.
	moves    = 2.6
	sideBars = 6
)

// barLine is the place in the bar of a track's first beat and what is known of it.
type barLine struct {
	at     int     // the first beat that begins a bar, 0 to 3
	chance float64 // that it does
}

// downbeat is the first beat, from the first that sounds, that begins a bar, and the chance
// that it does; 0 where bars do not have four beats or do not go on to the end.
func (g *grid) downbeat(beats []beatPlayed, part []int) (beat int, chance float64) {
	if len(beats) < barsLeast*bar || inThrees(beats) {
		return -1, 0
	}
	e := evidence(lineSignsOf(beats, part))
	line := lineOf(e, g.first)
	if moved(e, line.at) {
		return -1, 0
	}
	return g.first + ((line.at-g.first)%bar+bar)%bar, line.chance
}

// setDownbeat fills in a downbeat with its chance, if it is plain. Where the tempo is read at
// double, half of the bars that are counted begin in the middle of one.
func (r *Result) setDownbeat(at, chance float64) {
	chance *= (1 + r.Confidence) / 2
	if chance >= plain {
		r.FirstDownbeat, r.DownbeatConfidence = at, chance
	}
}

// evidence is the weighted sum of the signs of each beat.
func evidence(signs []lineSign) []float64 {
	out := make([]float64, len(signs))
	for i := range signs {
		for s, v := range signs[i] {
			out[i] += lineWeights[s] * v
		}
	}
	return out
}

// lineOf is the likeliest bar line, by the mean evidence of the beats on it.
//
//	P(c) = exp E(c) / sum over c of exp E(c),   E(c) = mean over i = c mod 4 of e(i)
func lineOf(e []float64, first int) barLine {
	mean := meanEvidence(e)
	mean[first%bar] += lineWeights[ofStart]
	best, sum := largest(mean[:]), 0.0
	for _, v := range mean {
		sum += math.Exp(v - mean[best])
	}
	return barLine{best, 1 / sum}
}

// meanEvidence is that of the beats at each place of a bar.
func meanEvidence(e []float64) (mean [bar]float64) {
	for c := range mean {
		n := 0.0
		for i := c; i < len(e); i += bar {
			mean[c] += e[i]
			n++
		}
		mean[c] /= max(n, 1)
	}
	return mean
}

// inThrees tells whether the bars have three beats: whether what is played is more alike at
// a distance of three and six beats than at one of four and eight.
func inThrees(beats []beatPlayed) bool {
	return unlike(beats, 3)+unlike(beats, 6) < threes*(unlike(beats, bar)+unlike(beats, 2*bar))
}

// inTwos tells whether the bars may have two beats.
func inTwos(beats []beatPlayed) bool {
	return len(beats) > 2*bar && unlike(beats, 2)+unlike(beats, 6) <= twos*(unlike(beats, bar)+unlike(beats, 2*bar))
}

// unlike is the mean difference of the sixteenths of beats so many apart.
func unlike(beats []beatPlayed, apart int) float64 {
	sum := 0.0
	for i := apart; i < len(beats); i++ {
		for l := range layers {
			for k, v := range beats[i].steps[l] {
				sum += math.Abs(v - beats[i-apart].steps[l][k])
			}
		}
	}
	return sum / float64(len(beats)-apart)
}

// moved tells whether another beat than at begins the bars of one side of the track.
func moved(e []float64, at int) bool {
	lead := make([]float64, len(e)/bar)
	for c := range bar {
		for i := range lead {
			lead[i] = e[bar*i+c] - e[bar*i+at]
		}
		for side := sideBars; side+sideBars <= len(lead); side++ {
			before, after := sureness(lead[:side]), sureness(lead[side:])
			if max(min(before, -after), min(-before, after)) > moves {
				return true
			}
		}
	}
	return false
}

// sureness is the mean of x in its standard errors.
func sureness(x []float64) float64 {
	n := float64(len(x))
	mean, square := 0.0, 0.0
	for _, v := range x {
		mean += v / n
	}
	for _, v := range x {
		square += (v - mean) * (v - mean)
	}
	return mean / max(math.Sqrt(square/(n-1)/n), 1e-300)
}
