// Package fourier holds the discrete Fourier transforms that the measurements share.
// All are forward and without a factor:
//
//		X[k] = sum over n of x[n] exp(-2 pi i n k / N)
//
//	  - Transform: complex, single precision, of a power of two, in place; for frames
//	    whose powers are summed, 140 dB below full scale.
//	  - Power: |X|^2 of real frames, on top of it.
//	  - Real: real, double precision, of any even length whose prime factors are 2, 3 and
//	    5; for what is searched for its peaks.
//
// Real transforms are complex ones of half the length (Cooley, Lewis and Welch, "The
// fast Fourier transform algorithm: programming considerations in the calculation of
// sine, cosine and Laplace transforms", J. Sound Vib. 12(3), 1970). All are decimations
// in frequency: each stage of radix r turns one transform of n into r of n/r (Gentleman
// and Sande, "Fast Fourier transforms for fun and profit", AFIPS 29, 1966).
//
// Tests compare with gonum's transforms, which take three to nine times as long (go test
// -bench . in this folder).
package fourier
