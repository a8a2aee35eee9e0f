package compare

import (
	"cmp"
	"math"
	"slices"

	"dubgauge/detect/dsp/fourier"
)

const (
	// meanSeconds is over how long a level is held against its own mean: what rises and
	// falls faster is the music, what does so slower the arrangement and the master.
	meanSeconds = 1.0
	// mostSwing in dB bounds what one frame says.
	mostSwing = 15
	// leastOverlap in seconds, or half of the shorter track: less music in common is no match.
	leastOverlap = 10.0
	// candidates are places that are looked at closely: music that repeats fits at several.
	candidates = 4
	// apart in frames are two of them at least.
	apart = 10
)

// swings is how each band of an outline moves about its mean, one slice a band.
func (o *outline) swings() [bands][]float64 {
	var out [bands][]float64
	n := len(o.frames)
	half := int(meanSeconds * frameRate / 2)
	for b := range out {
		out[b] = make([]float64, n)
		sum := make([]float64, n+1)
		for i := range n {
			sum[i+1] = sum[i] + float64(o.frames[i][b])
		}
		for i := range n {
			from, to := max(0, i-half), min(n, i+half+1)
			mean := (sum[to] - sum[from]) / float64(to-from)
			out[b][i] = math.Max(-mostSwing, math.Min(mostSwing, float64(o.frames[i][b])-mean))
		}
	}
	return out
}

// coarse lists the lags in frames at which B fits A best, the best first: what is in frame
// i of A is in frame i+lag of B. The measure is the correlation coefficient of what both
// play at that lag, all bands together.
func coarse(a, b *outline) []int {
	na, nb := len(a.frames), len(b.frames)
	least := int(math.Min(leastOverlap*frameRate, float64(min(na, nb))/2))
	if least < frameRate {
		return nil
	}
	size := 1
	for size < na+nb {
		size *= 2
	}
	sa, sb := a.swings(), b.swings()
	product := make([]float64, size)
	fft := fourier.NewReal(size)
	xa, xb := make([]float64, size), make([]float64, size)
	ca, cb, total := make([]complex128, size/2+1), make([]complex128, size/2+1), make([]complex128, size/2+1)
	for band := range sa {
		clear(xa)
		clear(xb)
		copy(xa, sa[band])
		copy(xb, sb[band])
		fft.Do(ca, xa)
		fft.Do(cb, xb)
		for i := range total {
			total[i] += cb[i] * complex(real(ca[i]), -imag(ca[i]))
		}
	}
	fft.Back(product, total)
	ea, eb := energies(sa), energies(sb)
	var best []place
	for lag := -(na - least); lag <= nb-least; lag++ {
		from, to := max(0, -lag), min(na, nb-lag)
		if to-from < least {
			continue
		}
		e := (ea[to] - ea[from]) * (eb[to+lag] - eb[from+lag])
		if e <= 0 {
			continue
		}
		// A long stretch that fits says more than a short one that fits by chance as well.
		score := product[(lag+size)%size] / float64(size) / math.Sqrt(e) * math.Pow(float64(to-from)/float64(min(na, nb)), 0.25)
		best = keep(best, place{lag, score})
	}
	lags := make([]int, len(best))
	for i, p := range best {
		lags[i] = p.lag
	}
	return lags
}

// place is a lag in frames and how well B fits there.
type place struct {
	lag   int
	score float64
}

// keep puts p among the best places, which lie apart, best first.
func keep(best []place, p place) []place {
	if len(best) == candidates && p.score <= best[candidates-1].score {
		return best
	}
	near := func(o place) bool { return p.lag-o.lag < apart && o.lag-p.lag < apart }
	if slices.ContainsFunc(best, func(o place) bool { return near(o) && o.score >= p.score }) {
		return best
	}
	best = append(slices.DeleteFunc(best, near), p)
	slices.SortStableFunc(best, func(a, b place) int { return cmp.Compare(b.score, a.score) })
	return best[:min(len(best), candidates)]
}

// energies sums squares of all bands up to each frame.
func energies(s [bands][]float64) []float64 {
	out := make([]float64, len(s[0])+1)
	for i := range s[0] {
		out[i+1] = out[i]
		for b := range s {
			out[i+1] += s[b][i] * s[b][i]
		}
	}
	return out
}
