// Package balance measures how the parts of the spectrum stand to one another in
// the loud part of a track, as the floor hears it.
//
// All windows of 30 s whose K-weighted loudness is within 1 LU of the loudest one
// count: one window alone favours whatever lead happens to play in it. Every level
// is in dB against the K-weighted loudness of its own window, so that a level that
// is wrong as a whole changes none of them. Bands are sums of third octaves
// (package spectrum); the weighting is that of ITU-R BS.1770-5 at their centres.
//
// The low end is that of the heaviest of these windows, heaviest against what lies
// between 178 Hz and 4.5 kHz: the part that the floor gets. All others are means of
// the dB over the windows. What does not exist, as in silence or above the limit of
// a file's sample rate, is NaN.
//
// Eight third octaves stand beside them: the shape that a shelf has about its corner tells
// it from a low end or a top that is a little more or less as a whole.
package balance

import (
	"math"

	"dubgauge/detect/spectrum"
)

// Bands of the result, by the first and the last third octave in them; the limits
// in hertz are those of the bands (IEC 61260-1).
const (
	subFirst, subLast           = 0, 4   // 18 to 56 Hz
	bassFirst, bassLast         = 5, 8   // 56 to 141 Hz
	lowMidFirst, lowMidLast     = 10, 14 // 178 to 562 Hz
	midFirst, midLast           = 15, 20 // 562 Hz to 2.2 kHz
	presenceFirst, presenceLast = 21, 24 // 2.2 to 5.6 kHz
	trebleFirst, trebleLast     = 25, 27 // 5.6 to 11 kHz
	airFirst, airLast           = 28, 29 // 11 to 18 kHz
	bodyFirst, bodyLast         = 10, 23 // 178 Hz to 4.5 kHz: what the low end is held against
)

// Thirds are the third octaves of Result.Thirds, by their number in package spectrum: 63, 80,
// 125 and 160 Hz; 6.3, 8, 10 and 12.5 kHz. Chosen on the bench's masters, of both halves, as few
// that tell shelves at 60 Hz, 100 Hz and 8 kHz nearly as well as all; what lies above is cut off
// by many a lossy encoder.
var Thirds = [...]int{5, 6, 8, 9, 25, 26, 27, 28}

// lowThirds of them are of the heaviest window, as the low end is.
const lowThirds = 4

// WindowSeconds is how long the loudest part is, see package loudness.
const WindowSeconds = 30.0

const (
	nearLU = 1.0 // how much quieter than the loudest a window may be
	// most bounds what the share of the sub may say, in dB: a kick without any
	// bass, or a bass without any kick, is as far off as it gets.
	mostShareDB = 12.0
)

// Result is in dB; see the package comment.
type Result struct {
	Low      float64 // 18 to 141 Hz, in the heaviest window
	LowMid   float64 // 178 to 562 Hz
	Mid      float64 // 562 Hz to 2.2 kHz
	Presence float64 // 2.2 to 5.6 kHz
	Treble   float64 // 5.6 to 11 kHz
	Air      float64 // 11 to 18 kHz
	// SubShare is the level of 18 to 56 Hz over that of 56 to 141 Hz in the
	// heaviest window, at most 12 dB either way.
	SubShare float64
	// Thirds are the levels of the third octaves of that name: the first four in the heaviest
	// window, the others means over the windows.
	Thirds [len(Thirds)]float64
}

// Of measures the track that was written to a spectrum meter.
func Of(m *spectrum.Meter) Result {
	return Over(func(each func(bands []float64)) {
		m.Sliding(WindowSeconds, func(_ float64, bands []float64) { each(bands) })
	})
}

// Over is Of for windows of WindowSeconds that were measured before: windows goes through
// them, each time the same, and has the power of every third octave of each.
func Over(windows func(each func(bands []float64))) Result {
	loudest := math.Inf(-1)
	windows(func(bands []float64) { loudest = max(loudest, Weighted(bands)) })
	r := Result{Low: math.NaN(), SubShare: math.NaN()}
	for i := range r.Thirds {
		r.Thirds[i] = math.NaN()
	}
	heaviest, n := math.Inf(-1), 0.0
	var sums [len(upper)]float64
	var tops [len(Thirds) - lowThirds]float64
	windows(func(bands []float64) {
		l := Weighted(bands)
		if !(l >= loudest-nearLU) {
			return
		}
		n++
		for i, b := range upper {
			sums[i] += level(bands, b[0], b[1]) - l
		}
		for i, b := range Thirds[lowThirds:] {
			tops[i] += level(bands, b, b) - l
		}
		low := level(bands, subFirst, bassLast)
		if heavy := low - level(bands, bodyFirst, bodyLast); heavy > heaviest {
			heaviest = heavy
			r.Low = low - l
			r.SubShare = share(bands)
			for i, b := range Thirds[:lowThirds] {
				r.Thirds[i] = finite(level(bands, b, b) - l)
			}
		}
	})
	for i, to := range []*float64{&r.LowMid, &r.Mid, &r.Presence, &r.Treble, &r.Air} {
		*to = finite(sums[i] / n) // NaN without a window
	}
	for i, sum := range tops {
		r.Thirds[lowThirds+i] = finite(sum / n)
	}
	r.Low, r.SubShare = finite(r.Low), finite(r.SubShare)
	return r
}

// upper are the bands that are means over the windows.
var upper = [5][2]int{
	{lowMidFirst, lowMidLast}, {midFirst, midLast}, {presenceFirst, presenceLast}, {trebleFirst, trebleLast}, {airFirst, airLast},
}

func share(bands []float64) float64 {
	d := level(bands, subFirst, subLast) - level(bands, bassFirst, bassLast)
	return min(mostShareDB, max(-mostShareDB, d))
}

// level of the bands from first to last, dB. Bands that do not exist are left out.
func level(bands []float64, first, last int) float64 {
	sum := 0.0
	for _, p := range bands[first : last+1] {
		if p > 0 {
			sum += p
		}
	}
	return 10 * math.Log10(sum)
}

// Weighted is the K-weighted level of a window, dB.
func Weighted(bands []float64) float64 {
	sum := 0.0
	for b, p := range bands {
		if p > 0 {
			sum += p * weights[b]
		}
	}
	return 10 * math.Log10(sum)
}

func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}
