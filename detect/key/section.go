package key

import "math"

// Where layers come in or go a section begins, and mostly a loop with it, whose first chord is
// mostly the tonic: P. Tagg, Everyday Tonality II (2014), on loops. It tells apart the keys that
// a loop of two chords can have.

// bandEnds, in hertz, are where the bands end whose power tells sections: of kick and bass, of
// chords, of melodies, and of hats and snares.
var bandEnds = [...]float64{130, 520, 2000, 4000}

const bandCount = len(bandEnds)

const (
	// bandRange is how far below its loudest moment a band is heard, as a power: 40 dB.
	bandRange = 1e-4
	// soundRange is the power, as a share of the loudest moment, below which a moment is silence
	// or a tail at an end of the track: -25 dB.
	soundRange = 0.003
	// mostStep is what one band counts at most, in decibels, leastStep what all together must
	// exceed, and leastSecond what the second of them must: a line of one voice that moves from
	// band to band begins no section. The log likelihood of songs hardly changes from 8 to 20, from
	// 6 to 10 and from 0 to 3.
	mostStep    = 12
	leastStep   = 6
	leastSecond = 1.5
)

// steps is by how many decibels more than leastStep the bands step at the start of each moment; 0
// where no section begins. beside is how many moments before it are compared with as many from it
// on.
//
//	step = sqrt(sum over the bands of min(|after - before|, mostStep)^2) - leastStep
//
// after and before being means of levels in decibels. Of places no more than beside apart the
// greatest counts, before its bands are bounded by mostStep.
func steps(m []moment, beside int) []float64 {
	sums, from, to := levels(m)
	all, counted := make([]float64, len(m)), make([]float64, len(m))
	for i := from + beside; i+beside <= to; i++ {
		most, second := 0.0, 0.0
		for b := range bandCount {
			d := (sums[i+beside][b] - 2*sums[i][b] + sums[i-beside][b]) / float64(beside)
			all[i] += d * d
			counted[i] += min(d*d, mostStep*mostStep)
			second = max(second, min(d*d, most))
			most = max(most, d*d)
		}
		if second < leastSecond*leastSecond {
			counted[i] = 0
		}
	}
	out := make([]float64, len(m))
	for i, v := range counted {
		if v > leastStep*leastStep && leads(all, i, beside) {
			out[i] = math.Sqrt(v) - leastStep
		}
	}
	return out
}

// leads tells whether no other value up to so many places away is greater, nor one before as
// great.
func leads(all []float64, i, beside int) bool {
	for j := max(0, i-beside); j < min(i+beside+1, len(all)); j++ {
		if all[j] > all[i] || all[j] == all[i] && j < i {
			return false
		}
	}
	return true
}

// levels gives the running sums of the bands' levels in decibels, and the first moment that is
// not silent and that after the last.
func levels(m []moment) (sums [][bandCount]float64, from, to int) {
	var top [bandCount]float64
	loudest, power := 0.0, make([]float64, len(m))
	for i := range m {
		for b, v := range m[i].power {
			p := float64(v) / float64(m[i].frames)
			top[b] = max(top[b], p)
			power[i] += p
		}
		loudest = max(loudest, power[i])
	}
	sums = make([][bandCount]float64, len(m)+1)
	for i := range m {
		for b, v := range m[i].power {
			p := float64(v) / float64(m[i].frames)
			sums[i+1][b] = sums[i][b] + 10*math.Log10(max(p, bandRange*top[b], 1e-30))
		}
	}
	for from < len(m) && power[from] < soundRange*loudest {
		from++
	}
	for to = len(m); to > from && power[to-1] < soundRange*loudest; {
		to--
	}
	return sums, from, to
}
