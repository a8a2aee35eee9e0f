package transfer

import (
	"math"
	"math/cmplx"
)

const (
	// humOff is how far the fundamental may lie from 50 or 60 Hz: grids hold that
	// (common practice), and G1 lies 1 Hz below, B1 1.7 Hz above. humOffStep is finer than
	// the longest lag tells apart.
	humOff, humOffStep = 0.18, 0.02 // Hz
	// humOwn is how much of a line's own power counts as music around it. Without it loud
	// notes and the few quietest frames decide alone; of 110 masters used for fitting the
	// 2 % with the least agreement, with a hum of -45 dBFS that is heard, had 0.05 then and
	// 0.27 now, and the clean ones 0.30 and 0.26 at most.
	humOwn = 0.3
	// humTogether is the least agreement of a series, and humTogetherRest that without its
	// best line: a note may be steady, a series of them is hum.
	humTogether, humTogetherRest = 0.27, 0.12
	// humLine is the least agreement of a line that is counted, humAlone that of one which
	// is named alone: a tone that holds its phase through the whole track.
	humLine, humAlone = 0.25, 0.9
	// humTells is how far, in power, a line must lie over the music around it to be missed
	// where it is not, and humMissed the share of such frames that may lack it.
	humTells, humMissed = 4, 0.3
	// humSeries lines are no chance. Under that they may be the skirts of tones beside them whose
	// phase comes round with the frames, which never stand so far over the music: two must in
	// some frame, one in humShown of them all. Of a hum planted in 13 masters used for fitting
	// the one single line does in 0.018.
	humSeries, humShown = 3, 0.005
	// humLeast and humLoudest bound the level of hum, dBFS: 60 dB under a club master it
	// is not heard, and 28 dB under one no one lets it pass.
	humLeast, humLoudest = -68.0, -36.0
)

// humLags are the distances of the frames that are compared, in hops: from frames that
// share no sample to 2.8 s, in which a tone a third of a hertz off turns once round.
var humLags = [...]int{2, 3, 4, 5, 7, 9, 11, 14, 17, 21, 25, 30}

// hum is what a series of lines has over the track.
type hum struct {
	hz       float64 // of the fundamental
	level    float64 // of all its lines, RMS in dBFS
	together float64 // agreement, mean of the lines: 1 for a pure series, near 0 for music
	best     float64 // agreement of the best line
	rest     float64 // mean of the others
	lines    int     // that agree
	shown    float64 // share of the frames of its lines that would show it
	missed   float64 // share of these that don't
	at       float64 // seconds: where it stands out most
}

// is tells that it is hum.
func (h hum) is() bool {
	return h.holds() && h.stands() && h.missed <= humMissed && h.level >= humLeast && h.level <= humLoudest
}

// stands tells that it has humSeries lines, or that two of them are seen over the music
// somewhere, or one for long enough.
func (h hum) stands() bool {
	return h.lines >= humSeries || h.lines > 1 && h.shown > 0 || h.shown >= humShown
}

// holds tells that its lines agree.
func (h hum) holds() bool {
	return h.together >= humTogether && h.rest >= humTogetherRest || h.best >= humAlone
}

// agreement of a line in one side: products of frames that lie each lag apart, weighed by
// what they have over the music around them, of magnitude 1 where all agree.
type agreement [len(humLags)]complex128

// weighed is what agree and square compare: the amplitudes of a line and side, weighed by
// the music around them, and the weights.
//
//	w[t] = 1 / (around[t] + humOwn |x[t]|^2)^2,  y[t] = w[t] x[t]
func weighed(frames humFrames, series, h, side int) (y []complex128, w []float64) {
	y, w = make([]complex128, frames.n), make([]float64, frames.n)
	for i := range frames.n {
		t := &frames.at(i)[series][h]
		beside := float64(t.around[side]) + humOwn*float64(squared(t.x[side]))
		w[i] = 1 / (beside * beside)
		y[i] = complex128(t.x[side]) * complex(w[i], 0)
	}
	return y, w
}

// agree compares the frames of one line and side:
//
//	a[l] = sum y[t+l] y*[t] / sum |y[t+l]| |y[t]|
func agree(frames humFrames, series, h, side int) (a agreement) {
	y, size := weighed(frames, series, h, side)
	for i, v := range y {
		size[i] = math.Sqrt(re(v, v))
	}
	runs := frames.runs()
	for l, lag := range humLags {
		var sum complex128
		total := 0.0
		for _, run := range runs {
			for i := run[0] + lag; i < run[1]; i++ {
				sum += y[i] * complex(real(y[i-lag]), -imag(y[i-lag]))
				total += size[i] * size[i-lag]
			}
		}
		if total > 0 {
			a[l] = sum / complex(total, 0)
		}
	}
	return a
}

// square is that of the amplitude of a tone off hertz from a line:
//
//	sum over t and l of Re y[t+l] y*[t] exp(-2 pi i off l T) / sum w[t+l] w[t]
//
// It is up to 3 dB low in music, as frames that the music makes louder weigh less.
func (m *humMeter) square(frames humFrames, series, h, side int, off float64) float64 {
	y, w := weighed(frames, series, h, side)
	runs := frames.runs()
	sum, weights := 0.0, 0.0
	for _, lag := range humLags {
		turn := cmplx.Rect(1, -2*math.Pi*off*float64(lag)*humHop/m.rate)
		for _, run := range runs {
			for i := run[0] + lag; i < run[1]; i++ {
				sum += re(y[i]*turn, y[i-lag])
				weights += w[i] * w[i-lag]
			}
		}
	}
	return max(0, sum/weights)
}

// hum measures the series of one of the mains.
func (m *humMeter) hum(series int) hum {
	best := hum{together: -1}
	from, to := trimmed(m.frames.Len(), humHop/m.rate)
	if float64(to-from)*humHop/m.rate < floorLeast {
		return best
	}
	frames := humFrames{m.frames, from, to - from}
	var all [harmonics][sides]agreement
	for h := range all {
		for side := range all[h] {
			all[h][side] = agree(frames, series, h, side)
		}
	}
	off := 0.0
	for d := -humOff; d <= humOff+1e-9; d += humOffStep {
		if now := m.together(&all, d); now.together > best.together {
			best, off = now, d
		}
	}
	if !best.holds() {
		return best
	}
	best.hz = mains[series] + off
	power := m.squares(frames, series, &all, off)
	total := 0.0
	for h := range power {
		for _, p := range power[h] {
			total += p / 2 // a sine of amplitude a has the power a^2 / 2
		}
	}
	best.level = 10 * math.Log10(total+1e-20)
	best.shown, best.missed = shown(frames, series, &power)
	best.at = float64(m.frames.Place(from+clearest(frames, series, &power))) * humHop / m.rate
	return best
}

// along is how well a line that turns by off hertz agrees, from 1 to -1.
func (m *humMeter) along(a *agreement, off float64) float64 {
	sum := 0.0
	for l, lag := range humLags {
		sum += real(a[l] * cmplx.Rect(1, -2*math.Pi*off*float64(lag)*humHop/m.rate))
	}
	return sum / float64(len(humLags))
}

// together is how well the lines agree with multiples of a frequency that lies off hertz
// from the mains; each line as it does in the better of its sides.
func (m *humMeter) together(all *[harmonics][sides]agreement, off float64) (out hum) {
	sum := 0.0
	for h := range all {
		line := -1.0
		for side := range all[h] {
			line = max(line, m.along(&all[h][side], off*float64(h+1)))
		}
		if line >= humLine {
			out.lines++
		}
		sum += line
		out.best = max(out.best, line)
	}
	out.together, out.rest = sum/harmonics, (sum-out.best)/(harmonics-1)
	return out
}

// squares are those of the amplitudes of the lines that agree, 0 of the others.
func (m *humMeter) squares(frames humFrames, series int, all *[harmonics][sides]agreement, off float64) (out [harmonics][sides]float64) {
	for h := range all {
		for side := range all[h] {
			if o := off * float64(h+1); m.along(&all[h][side], o) >= humLine {
				out[h][side] = m.square(frames, series, h, side, o)
			}
		}
	}
	return out
}

// shown is the share of the frames of all lines quiet enough to show one, and missed that of
// these that lack it.
func shown(frames humFrames, series int, power *[harmonics][sides]float64) (share, missed float64) {
	all, tell, lack := 0, 0, 0
	for i := range frames.n {
		for h := range power {
			for side, p := range power[h] {
				if p == 0 {
					continue
				}
				all++
				t := &frames.at(i)[series][h]
				if float64(t.around[side])*humTells > p {
					continue
				}
				tell++
				if float64(squared(t.x[side]))*humTells < p {
					lack++
				}
			}
		}
	}
	return float64(tell) / float64(max(1, all)), float64(lack) / float64(max(1, tell))
}

// clearest is the frame in which the lines stand out most.
func clearest(frames humFrames, series int, power *[harmonics][sides]float64) int {
	at, most := 0, -1.0
	for i := range frames.n {
		over := 0.0
		for h := range power {
			for side, p := range power[h] {
				over += p / float64(frames.at(i)[series][h].around[side])
			}
		}
		if over > most {
			at, most = i, over
		}
	}
	return at
}
