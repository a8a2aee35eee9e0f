// Package dsp holds the tools of signal processing that the measurements share: windows,
// low-pass filters that lower the sample rate, and order statistics. The transforms are
// in package fourier beside it.
//
// Frequencies are in hertz, or in cycles a sample where that is said; attenuations in dB.
// A filter's taps add up to 1, so that a constant stays itself.
package dsp
