package sound

import "math"

// The limiter of a loud master: it looks 2 ms ahead and lets go in about 40 ms,
// quick enough not to pump, slow enough not to follow the bass wave by wave.
// Common practice, no source.
const (
	truePeakWindow = 88      // samples
	releaseSeconds = 0.040   // to 1/e
	oversampling   = 4       // ITU-R BS.1770-5 annex 2: at least 4 at 48 kHz
	peakTaps       = 20      // for each of the points between two samples
	peakSearch     = 1 / 1.6 // of the ceiling: what lies lower cannot rise above it in music
)

// peakPhases interpolate at 1/4, 1/2 and 3/4 between samples peakTaps/2-1 and
// peakTaps/2: a sinc under a Hann window.
var peakPhases = func() (h [oversampling - 1][peakTaps]float64) {
	for p := range h {
		for k := range h[p] {
			t := float64(k-peakTaps/2+1) - float64(p+1)/oversampling
			w := math.Cos(math.Pi * t / (peakTaps + 1))
			h[p][k] = math.Sin(math.Pi*t) / (math.Pi * t) * w * w
		}
	}
	return h
}()

// LimitTruePeak keeps the peaks of both channels, those between the samples too,
// at about ceiling (full scale being 1) by one gain that looks ahead and recovers
// slowly.
func LimitTruePeak(left, right []float64, ceiling float64) {
	need := make([]float64, len(left))
	for i := range need {
		need[i] = 1
	}
	for _, x := range [][]float64{left, right} {
		peakNeed(need, x, ceiling)
	}
	held := slidingMin(need, truePeakWindow)
	let := 1 - math.Exp(-1/(releaseSeconds*Rate))
	g := 1.0
	for i, h := range held {
		g = math.Min(h, g+let*(1-g))
		held[i] = g
	}
	turnDown(left, right, need, held, truePeakWindow)
}

// peakNeed lowers need to the gain that keeps x, at and after each sample up to
// the next, within ceiling.
func peakNeed(need, x []float64, ceiling float64) {
	low := ceiling * peakSearch
	for i, v := range x {
		peak := math.Abs(v)
		if peak > ceiling {
			need[i] = math.Min(need[i], ceiling/peak)
		}
		from := i - peakTaps/2 + 1
		if from < 0 || from+peakTaps > len(x) || (peak < low && math.Abs(x[i+1]) < low) {
			continue
		}
		if between := interpolated(x[from : from+peakTaps]); between > ceiling {
			need[i] = math.Min(need[i], ceiling/between)
			need[i+1] = math.Min(need[i+1], ceiling/between)
		}
	}
}

// interpolated is the highest of the points between the middle two of x.
func interpolated(x []float64) float64 {
	high := 0.0
	for p := range peakPhases {
		sum := 0.0
		for k, h := range &peakPhases[p] {
			sum += h * x[k]
		}
		high = math.Max(high, math.Abs(sum))
	}
	return high
}
