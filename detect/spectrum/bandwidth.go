package spectrum

import "math"

// What makes a drop: the mean level from dropNear to dropFar below a
// frequency stands dropDB above everything from dropNear above it upwards.
// Encoders' low-passes fall by 20 dB or more within 300 Hz; music by itself by
// less than 14 dB (measured on decoded files, project notes).
const (
	dropNear = 150.0 // Hz
	dropFar  = 600.0 // Hz
	dropDB   = 20.0
	dropFrom = 1000.0 // Hz; lower down only the floor counts
)

// What counts as nothing: below the noise of 16-bit audio with dither on two
// channels (-96.3 dB a channel, spread over 22 kHz: -137 dB/Hz) plus a margin,
// or so far below the strongest part that it is the transform's own leakage.
const (
	floorDB   = -133.0 // dB relative to full scale, per hertz
	leakageDB = -100.0
)

// Bandwidth is the frequency in hertz above which the long-term spectrum has
// dropped for good: where it falls by 20 dB within 750 Hz and does not come
// back, else where it sinks into what 16-bit audio cannot hold, else half the
// sample rate. NaN for silence.
func (m *Meter) Bandwidth() float64 {
	psd, binHz := m.LongTerm()
	level := make([]float64, len(psd))
	peak := math.Inf(-1)
	for k, p := range psd {
		level[k] = 10 * math.Log10(p)
		if float64(k)*binHz >= subFrom {
			peak = max(peak, level[k])
		}
	}
	if math.IsInf(peak, -1) {
		return math.NaN()
	}
	level = smooth(level, max(1, int(dropNear/binHz/2)))
	top := lastAbove(level, max(floorDB, peak+leakageDB))
	if drop := firstDrop(level[:top+1], binHz); drop < top {
		top = drop
	}
	if top >= len(level)-2 {
		return m.rate / 2
	}
	return float64(top) * binHz
}

// smooth is the mean over k-half to k+half, in dB.
func smooth(level []float64, half int) []float64 {
	out := make([]float64, len(level))
	for k := range level {
		out[k] = mean(level[max(0, k-half):min(len(level), k+half+1)])
	}
	return out
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += max(v, -400) // a bin of nothing at all
	}
	return sum / float64(len(x))
}

// lastAbove is the highest bin above floor, 0 when none is.
func lastAbove(level []float64, floor float64) int {
	for k := len(level) - 1; k > 0; k-- {
		if level[k] > floor {
			return k
		}
	}
	return 0
}

// firstDrop is the lowest bin at which the level drops and stays down, the
// last bin when it never does.
func firstDrop(level []float64, binHz float64) int {
	near, far := max(1, int(dropNear/binHz)), int(dropFar/binHz)
	highest := make([]float64, len(level)+1) // from each bin upwards
	highest[len(level)] = math.Inf(-1)
	for k := len(level) - 1; k >= 0; k-- {
		highest[k] = max(level[k], highest[k+1])
	}
	for k := max(far, int(dropFrom/binHz)); k+near < len(level); k++ {
		if mean(level[k-far:k-near])-highest[k+near] >= dropDB {
			return k
		}
	}
	return len(level) - 1
}
