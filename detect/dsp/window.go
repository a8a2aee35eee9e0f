package dsp

import "math"

// Bessel0 is the modified Bessel function of the first kind and order zero, by its
// power series (Abramowitz and Stegun 9.6.12).
//
//	I0(x) = sum over k of ((x/2)^k / k!)^2
func Bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; term > 1e-17*sum; k++ {
		term *= x * x / (4 * k * k)
		sum += term
	}
	return sum
}

// Kaiser is the window of J. F. Kaiser ("Nonrecursive digital filter design using the
// I0-sinh window function", ISCAS 1974) at x, which is 0 in the middle and 1 at the end;
// beyond it is 0.
//
//	w(x) = I0(beta sqrt(1 - x^2)) / I0(beta)
func Kaiser(x, beta float64) float64 {
	if x < -1 || x > 1 {
		return 0
	}
	return Bessel0(beta*math.Sqrt(1-x*x)) / Bessel0(beta)
}

// KaiserBeta is the beta of a filter with a stopband of so many dB, 50 or more (the same
// paper).
//
//	beta = 0.1102 (A - 8.7)
func KaiserBeta(attenuationDB float64) float64 { return 0.1102 * (attenuationDB - 8.7) }

// KaiserTaps is the number of taps of a filter with a stopband of so many dB and a
// transition that is so large a share of the sample rate (the same paper).
//
//	taps = (A - 7.95) / (14.36 d)
func KaiserTaps(attenuationDB, transition float64) float64 {
	return (attenuationDB - 7.95) / (14.36 * transition)
}

// Hann is the raised cosine of period n at i, 0 at 0 and 1 in the middle. Symmetric
// windows of n samples take it at half steps.
//
//	w(i) = 1/2 - 1/2 cos(2 pi i / n)
func Hann(i, n float64) float64 { return 0.5 - 0.5*math.Cos(2*math.Pi*i/n) }

// Hamming is the window of R. W. Hamming at x, which is 0 in the middle and 1 at the end.
//
//	w(x) = 0.54 + 0.46 cos(pi x)
func Hamming(x float64) float64 { return 0.54 + 0.46*math.Cos(math.Pi*x) }

// SineTaper rises from 0 at 0 to 1 at 1 and has the narrowest lobe of those whose squares
// add up to 1 with their mirror image's.
//
//	w(x) = sin(pi/2 x)
func SineTaper(x float64) float64 { return math.Sin(math.Pi / 2 * x) }

// SmoothTaper does so too, and leaks least into far bins.
//
//	w(x) = sin(pi/2 sin^2(pi/2 x))
func SmoothTaper(x float64) float64 { s := SineTaper(x); return SineTaper(s * s) }

// Sinc is the impulse response of the ideal low-pass at half the sample rate, t samples
// from its middle.
//
//	sinc(t) = sin(pi t) / (pi t)
func Sinc(t float64) float64 {
	if t == 0 {
		return 1
	}
	return math.Sin(math.Pi*t) / (math.Pi * t)
}
