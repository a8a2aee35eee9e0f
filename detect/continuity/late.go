package continuity

import (
	"fmt"
	"math"
	"math/cmplx"

	"dubgauge/detect/reason"
)

const (
	// lateFrames is the least number of frames of the cross spectrum with sound.
	lateFrames = 3
	// latePeak is the least height of the peak, a mean coherence, and lateZero what the
	// correlation may have of it where nothing is late: something of the mix that is in
	// time speaks for an effect.
	latePeak, lateZero = 0.08, 0.3
	// Where the channels have only a part of the band in common the peak is so wide that it
	// reaches there: then it is as high as far on its other side, to lateEven of it, and from
	// lateHigh on it has up to lateWide there.
	lateHigh, lateWide, lateEven = 0.3, 0.5, 0.1
	// lateAgainst is the share of a peak that the channels may have upside down and in time, and
	// lateWings how far off, in samples, that has its wings: in 20 of 77 masters that were
	// widened they lie 3 to 12.4 off.
	lateAgainst, lateWings = 0.5, 13.0
	// lateNear is the delay, in samples, up to which independent noise in the channels and
	// stereo effects give low peaks too; there it has to be latePlain high.
	lateNear, latePlain = 7.0, 0.18
	// lateLeast is the least delay in samples: tape heads and converters are off by
	// half of one.
	lateLeast = 0.75
	// lateLowCoherence is that of kick and bass that can tell their delay; a chorus on
	// the bass leaves less.
	lateLowCoherence = 0.8
	// lateLowShare and lateLowSlack: the delay of kick and bass may differ from that of
	// the rest by a share of it and some samples, and by lateLowLoose of what lowDelay
	// gives as its error. An instrument or pad that is late on one side leaves kick and
	// bass in time.
	lateLowShare, lateLowSlack, lateLowLoose = 0.3, 2.0, 1.5
)

// delay judges whether one channel as a whole is late. The coherence of the channels
// is transformed back; what both have in common peaks at its delay d:
//
//	r(d) = mean over k of Re(c[k] exp(-2 pi i k d / N)), c = S_L conj(S_R) / sqrt(S_LL S_RR)
//
// positive d: the right channel is late.
func (m *Meter) delay() []Finding {
	l := m.lag
	if l == nil || l.frames < lateFrames {
		return nil
	}
	l.cohere()
	from, to := l.bin(lagFrom), l.bin(lagTo)
	d, top, inside := l.peak(from, to)
	if math.Abs(d) < lateLeast || top < latePeak || !inside {
		return nil
	}
	if math.Abs(d) <= lateNear && top < latePlain || l.inTime(d, top, from, to) || l.opposed(d, top, from, to) {
		return nil
	}
	if low, off, sure := l.lowDelay(); sure && math.Abs(low-d) > lateLowSlack+lateLowShare*math.Abs(d)+lateLowLoose*off {
		return nil
	}
	n := int(math.Round(math.Abs(d)))
	if n <= delaySmall {
		return nil // nothing that is heard, and what independent noise in the channels can show
	}
	f := Finding{Kind: reason.Delay, At: math.NaN(), Until: math.NaN(), Figure: math.Abs(d)}
	side := "right"
	if d < 0 {
		side = "left"
	}
	f.Detail = fmt.Sprintf("the whole of the %s channel is %d samples (%.2f ms) late: in mono the sound around %.0f Hz cancels", side, n,
		1000*math.Abs(d)/m.rate, m.rate/(2*math.Abs(d)))
	return []Finding{f}
}

// inTime tells whether, beside a peak at delay d, something of the mix is in time.
func (l *lag) inTime(d, top float64, from, to int) bool {
	zero := l.correlation(0, from, to)
	wide := top >= lateHigh && zero <= lateWide*top && zero-l.correlation(2*d, from, to) <= lateEven*top
	return zero > lateZero*top && !wide
}

// opposed tells whether the peak at delay d is the wing of what the channels have upside down
// and in time, as a mix that was widened has: that is the same on both sides of 0. One of a
// delay is the same on both sides of d.
func (l *lag) opposed(d, top float64, from, to int) bool {
	other := l.correlation(-d, from, to)
	return math.Abs(d) <= lateWings && (l.correlation(0, from, to) < -lateAgainst*top || top-other < math.Abs(other-l.correlation(3*d, from, to)))
}

// peak is the delay in samples at which the channels have most in common in bins from to
// to, how much that is, and whether it lies inside of what is looked at.
func (l *lag) peak(from, to int) (d, top float64, inside bool) {
	best := 0
	for d := -lagMost; d <= lagMost; d++ {
		if r := l.correlation(float64(d), from, to); r > top {
			best, top = d, r
		}
	}
	d = float64(best)
	before, after := l.correlation(d-0.5, from, to), l.correlation(d+0.5, from, to)
	if bend := 2*top - before - after; bend > 0 {
		d += 0.25 * (after - before) / bend
	}
	return d, top, best != lagMost && best != -lagMost
}

func (l *lag) bin(hz float64) int {
	return max(1, min(lagFrame/2-1, int(math.Round(hz*lagFrame/l.rate))))
}

// cohere fills in the coherence of the bins, 0 where a channel has nothing.
func (l *lag) cohere() {
	l.coherence = make([]complex128, len(l.cross))
	for k, c := range l.cross {
		if p := l.power[0][k] * l.power[1][k]; p > 0 {
			root := 1 / math.Sqrt(p)
			l.coherence[k] = complex(real(c)*root, imag(c)*root)
		}
	}
}

func (l *lag) correlation(d float64, from, to int) float64 {
	sum := 0.0
	turn := cmplx.Rect(1, -2*math.Pi*d/lagFrame)
	w := cmplx.Rect(1, -2*math.Pi*d*float64(from)/lagFrame)
	for k := from; k <= to; k++ {
		c := l.coherence[k]
		sum += real(c)*real(w) - imag(c)*imag(w)
		w *= turn
	}
	return sum / float64(to-from+1)
}

// lowDelay is the delay of kick and bass in samples, from the slope of the phase,
// which passes through zero at 0 Hz, and how far it may be off, from what the phases lie
// beside that slope; g is the coherence and the power:
//
//	d = sum of g w phase / sum of g w^2, w = 2 pi k / N
//	off^2 = sum of g (phase - w d)^2 / sum of g w^2
func (l *lag) lowDelay() (d, off float64, sure bool) {
	var num, den, squares, common, left, right float64
	for k := l.bin(lagLowFrom); k <= l.bin(lagLowTo); k++ {
		g, w, phase := cmplx.Abs(l.cross[k]), 2*math.Pi*float64(k)/lagFrame, cmplx.Phase(l.cross[k])
		num += g * w * phase
		den += g * w * w
		squares += g * phase * phase
		common += g
		left += l.power[0][k]
		right += l.power[1][k]
	}
	if !(den > 0) || !(left*right > 0) {
		return 0, 0, false
	}
	d = num / den
	return d, math.Sqrt(max(0, squares/den-d*d)), common/math.Sqrt(left*right) >= lateLowCoherence
}
