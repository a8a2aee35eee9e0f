package continuity

import (
	"math"

	"dubgauge/detect/dsp/fourier"
)

const (
	// lagFrame samples are taken every lagEvery seconds for the cross spectrum.
	lagFrame = 4096
	lagEvery = 4.0 // s
	// lagMost is the latest that one channel is looked for, in samples: 2.3 ms.
	lagMost = 100
	// lagLow is the band, in hertz, in which kick and bass tell whether all is late, and
	// lagBand that which the peak is looked for in.
	lagLowFrom, lagLowTo = 40.0, 160.0
	lagFrom, lagTo       = 150.0, 9000.0
)

// lag gathers the cross spectrum of the two channels over the track. Each frame
// counts by the share of its power that a bin has in it, so that quiet parts speak
// too.
type lag struct {
	rate   float64
	next   int64
	every  int64
	frames int
	f      *fourier.Transform
	window []float32
	x      []complex64
	cross  []complex128
	power  [2][]float64
	// coherence is what delay looks at.
	coherence []complex128
}

func newLag(rate float64) *lag {
	l := &lag{rate: rate, every: int64(lagEvery * rate), f: fourier.New(lagFrame)}
	l.next = l.every / 4
	l.window = make([]float32, lagFrame)
	for i := range l.window {
		l.window[i] = float32(0.5 - 0.5*math.Cos(2*math.Pi*(float64(i)+0.5)/lagFrame))
	}
	l.x = make([]complex64, lagFrame)
	l.cross = make([]complex128, lagFrame/2)
	for c := range l.power {
		l.power[c] = make([]float64, lagFrame/2)
	}
	return l
}

// look takes the frames that lie in buf[:to], whose first sample is base.
func (l *lag) look(buf [][]float32, base int64, to int) {
	for l.next < base {
		l.next += l.every
	}
	for from := int(l.next - base); from+lagFrame <= to; from = int(l.next - base) {
		l.frame(buf[0][from:from+lagFrame], buf[1][from:from+lagFrame])
		l.next += l.every
	}
}

// frame transforms both channels at once, as real and imaginary part:
//
//	L[k] = (X[k] + conj X[N-k]) / 2, R[k] = (X[k] - conj X[N-k]) / 2i
func (l *lag) frame(left, right []float32) {
	sum := 0.0
	for i, w := range l.window {
		l.x[i] = complex(left[i]*w, right[i]*w)
		sum += float64(real(l.x[i])*real(l.x[i]) + imag(l.x[i])*imag(l.x[i]))
	}
	if decibels(sum/lagFrame) < soundDB {
		return
	}
	l.f.Do(l.x)
	place, share := l.f.Place(), 1/sum
	for k := 1; k < lagFrame/2; k++ {
		a, b := complex128(l.x[place[k]]), complex128(l.x[place[lagFrame-k]])
		// Written out, as division of complex numbers takes ten times as long.
		pr, pi := (real(a)+real(b))/2, (imag(a)-imag(b))/2
		qr, qi := (imag(a)+imag(b))/2, (real(b)-real(a))/2
		l.cross[k] += complex((pr*qr+pi*qi)*share, (pi*qr-pr*qi)*share)
		l.power[0][k] += (pr*pr + pi*pi) * share
		l.power[1][k] += (qr*qr + qi*qi) * share
	}
	l.frames++
}

// delaySmall is the greatest delay, in samples, that does nothing that is heard.
const delaySmall = 2
