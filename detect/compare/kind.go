package compare

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
	"dubgauge/detect/spectrum"
)

const (
	// sameDB is what may be left of the same audio: under music at -10 dBFS the dither of 16 bit lies
	// 80 dB down, a resampler's error 60.
	sameDB = -60.0
	// sameGain in dB is no gain.
	sameGain = 0.005
	// flat in dB is by how much the third octaves of the same balance may differ.
	flat = 0.5
	// leastCoherence bounds that.
	leastCoherence = 0.25
	// flatTo Hz: above it encoders and resamplers end.
	flatTo = 12000.0
	// flatFrom Hz: below it a third octave holds too few bins.
	flatFrom = 40.0
	// quietThird is how far below the sum a third octave is not looked at, in power.
	quietThird = 1e-4
	// filteredDB is what may be left behind one filter.
	filteredDB = -25.0
	// followDB and followGain: what may be left behind a gain that is taken anew every block, and by how
	// much less that is than behind one gain and behind one filter.
	followDB   = -25.0
	followGain = 6.0
	// leastReduction in dB is a limiter at work.
	leastReduction = 0.3
	// followsDB is what is left of a track that follows the other.
	followsDB = -15.0
	// encodedDB is what an encoder leaves out at most.
	encodedDB = -12.0
)

// kind says what was done, from what is left in each case.
func (m *match) kind(r *Result) Kind {
	rel := m.relation
	if !r.GainDB.Exists() {
		return Other
	}
	follow, filtered, even := decibels(rel.follow), decibels(rel.filtered()), rel.flat(float64(r.GainDB))
	left := float64(r.ResidualDB)
	if even && m.plan.rateA != m.plan.rateB {
		left = math.Min(left, filtered) // what a resampler takes off the top is no change
	}
	switch {
	case left <= sameDB && math.Abs(float64(r.GainDB)) < sameGain && !r.Inverted && m.speed == 0:
		return Same
	case left <= sameDB:
		return Gain
	case follow <= followDB && follow <= math.Min(left, filtered)-followGain && math.Abs(float64(r.ReductionDB)) >= leastReduction:
		return Limiter
	case even && left <= encodedDB:
		return Encoder
	case filtered <= filteredDB:
		return Equaliser
	}
	return Mix
}

// decibels of a power, no less than leastResidual.
func decibels(power float64) float64 { return math.Max(leastResidual, 10*math.Log10(power)) }

// flat tells that the third octaves have the balance of before. What of B does not follow A
// there, as an encoder's noise, may add to the difference.
func (r *relation) flat(gain float64) bool {
	all := r.thirds()
	sum := 0.0
	for _, t := range all {
		sum += t.weight
	}
	for k, t := range all {
		if f := spectrum.Exact(k); f < flatFrom || f > flatTo || t.weight < quietThird*sum || math.IsNaN(t.change) {
			continue
		}
		if math.Abs(t.change-gain) > flat-10*math.Log10(math.Max(leastCoherence, t.coherence)) {
			return false
		}
	}
	return true
}

// filtered is the power that one filter leaves of B, of B's.
func (r *relation) filtered() float64 {
	follows, all := 0.0, 0.0
	for i, p := range r.aa {
		all += r.bb[i]
		if p > 0 {
			follows += (real(r.ab[i])*real(r.ab[i]) + imag(r.ab[i])*imag(r.ab[i])) / p
		}
	}
	return math.Max(0, 1-follows/all)
}

// gainDB is B over A between flatFrom and flatTo, where encoders and resamplers keep the
// level: by least squares where B follows A, else by the powers.
func (r *relation) gainDB() float64 {
	var s sums
	for i := range r.aa {
		if f := float64(i) * float64(r.rate) / transform; f >= flatFrom && f <= flatTo {
			s.aa, s.bb, s.ab = s.aa+r.aa[i], s.bb+r.bb[i], s.ab+real(r.ab[i])
		}
	}
	if s.aa == 0 || s.bb == 0 {
		return 10 * math.Log10(r.total.bb/r.total.aa)
	}
	if decibels(s.left()) <= followsDB {
		return 20 * math.Log10(math.Abs(s.gain()))
	}
	return 10 * math.Log10(s.bb/s.aa)
}

// loudBlocks is the share of the blocks, by A's peaks, in which a limiter works most.
const loudBlocks = 0.1

// reduction is what a limiter took off, as the span of the gains of the blocks without the
// hundredth part at the lower end and a tenth at the upper: positive when the loud blocks have
// less gain than the others, so that B was limited, negative when A was.
func (r *relation) reduction() float64 {
	least := silent * slices.Max(r.peaks)
	var gains, peaks []float64
	for i, g := range r.gains {
		if r.peaks[i] > least && g != 0 {
			gains, peaks = append(gains, 20*math.Log10(math.Abs(g))), append(peaks, r.peaks[i])
		}
	}
	sorted := slices.Sorted(slices.Values(gains))
	span := dsp.Quantile(sorted, 0.9) - dsp.Quantile(sorted, 0.01)
	loud := dsp.Quantile(slices.Sorted(slices.Values(peaks)), 1-loudBlocks)
	sum, n := 0.0, 0
	for i, g := range gains {
		if peaks[i] >= loud {
			sum += g
			n++
		}
	}
	if n > 0 && sum/float64(n) > dsp.Quantile(sorted, 0.5) {
		return -(dsp.Quantile(sorted, 0.99) - dsp.Quantile(sorted, 0.1))
	}
	return span
}
