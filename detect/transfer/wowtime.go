package transfer

import "math"

// The pitch and the time of all that sounds swing together on a record that is off
// centre: where no note is held, what begins on the grid of sixteenths tells. A swing of
// a percent at f hertz moves it by a / (2 pi f) seconds either way, 0.57 ms for 0.2 % at
// 33 1/3 turns a minute.
const (
	// timeMost is how far off its place in the bar, in seconds, what begins is still of the
	// grid; timeCount the least number of it that tells.
	timeMost, timeCount = 0.012, 60
	// timeStep and timeSteps are the grain and the number of tempi to either side that are
	// tried, as shares: what the tempo is off.
	timeStep, timeSteps = 1e-5, 60
	// timeStands is how far a swing must stand over the median of those of the frequencies
	// around: by chance one of 1,900 does. Of 38 clean masters used for fitting one had 3.2
	// and one, whose bar is as long as a turn, 5.3; of the songs among them, with 0.2 %, all 16
	// of another tempo had 6 and more.
	timeStands = 3.3
	// timeLeast is the least swing of the time in seconds, 0.15 % at 33 1/3 turns a minute:
	// two clean tracks of some 300 have 0.12 and 0.14 %.
	timeLeast = 0.00042
	// timeBeat is what timeStands is multiplied by at quarters of the rate of the bar.
	timeBeat = 2.5
	// timeHeard is the swing of the pitch, in percent, from which a wow is plain: that of
	// 0.3 % makes held notes unsteady (common practice).
	timeHeard = 0.3
	// timeSlots are the sixteenths of a bar, each with a place of its own.
	timeSlots = 16
	// A swing is held against those of timeAround frequencies from timeFrom on in steps of
	// timeGrain, as shares of its own, but for timeSelf beside it, in hertz.
	timeAround, timeFrom, timeGrain, timeSelf = 47, 0.72, 0.0125, 0.02
)

// offs gives, of times in seconds, those on the grid of sixteenths and how far each lies
// off the median of its place in the bar.
func offs(times []float64, bpm float64) (t, off []float64) {
	step := 60 / bpm / 4
	step *= tempoOf(times, step)
	var slots [timeSlots][]float64
	place := func(at float64) (slot int, d float64) {
		k := math.Round(at / step)
		return int(math.Mod(k, timeSlots)+timeSlots) % timeSlots, at - k*step // what begins in the first cells lies before 0
	}
	for _, at := range times {
		slot, d := place(at)
		slots[slot] = append(slots[slot], d)
	}
	var middles [timeSlots]float64
	for i, s := range slots {
		middles[i] = math.NaN()
		if len(s) > 3 {
			middles[i] = middle(s)
		}
	}
	for _, at := range times {
		slot, d := place(at)
		if d -= middles[slot]; math.Abs(d) < timeMost {
			t, off = append(t, at), append(off, d)
		}
	}
	return t, off
}

// tempoOf is what the length of a step must be multiplied by for the times to lie best on
// its multiples.
func tempoOf(times []float64, step float64) float64 {
	turn, by := make([]complex128, len(times)), make([]complex128, len(times))
	for i, at := range times {
		turn[i] = circle(at / step * (1 + timeSteps*timeStep))
		by[i] = circle(-at / step * timeStep)
	}
	best, most := 1.0, -1.0
	for k := -timeSteps; k <= timeSteps; k++ {
		var sum complex128
		for i := range turn {
			sum += turn[i]
			turn[i] *= by[i]
		}
		if p := re(sum, sum); p > most {
			best, most = 1/(1-float64(k)*timeStep), p
		}
	}
	return best
}

// circle is the point so many turns round.
func circle(turns float64) complex128 {
	sin, cos := math.Sincos(2 * math.Pi * turns)
	return complex(cos, sin)
}

// swings measures how far off swings, in seconds either way, at frequencies from one on in
// equal steps.
func swings(t, off []float64, from, step float64, n int) []float64 {
	out := make([]float64, n)
	last := t[len(t)-1]
	turn, by := make([]complex128, len(t)), make([]complex128, len(t))
	weight := 0.0
	for i, at := range t {
		w := 0.5 - 0.5*math.Cos(2*math.Pi*at/last)
		weight += w
		turn[i] = complex(w*off[i], 0) * circle(from*at)
		by[i] = circle(step * at)
	}
	for k := range out {
		var sum complex128
		for i := range turn {
			sum += turn[i]
			turn[i] *= by[i]
		}
		out[k] = 2 * math.Sqrt(re(sum, sum)) / weight
	}
	return out
}
