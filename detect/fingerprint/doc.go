// Package fingerprint finds tracks that hold the same music, whatever was done to it in
// between: another level, equaliser, limiter, encoding or sample rate, a part cut off,
// another intro before it. Package faults has a fingerprint too, which tells whether two
// files are the same audio; this one tells whether they are the same music, and of how
// many seconds.
//
// A print is a row of sub-prints of 24 bits, one every 0.186 s, after J. Haitsma and T.
// Kalker, "A highly robust audio fingerprinting system", Proc. ISMIR 2002, section 4:
// bit k is whether band k stands higher against the band above it than it did 0.74 s
// ago.
//
//	F(n,k) = E(n,k) - E(n,k+1) - (E(n-4,k) - E(n-4,k+1)),   bit k of n: F(n,k) > 0
//
// E is the logarithm of the amplitude in a band, summed over four frames. A gain moves
// all bands alike, an equaliser moves them for good, and both cancel. It differs from
// the paper in that bands are 2 semitones wide from 196 Hz to 3.5 kHz, where the notes
// are, and in that frames come 16 times more rarely and four of them are heard together:
// 16 bytes a second, so that a track of six minutes has 5.8 KB. The frames are those in
// which package key looks for notes.
//
// Two prints are laid on each other where sub-prints agree (an index of all of them finds
// these), and compared bit by bit. Measured: of the same music at most 19 % of the bits
// differ, half a frame apart at the worst; of other music, at the best of all places,
// 40 % and more. Of 90,523 pairs of different tunes none was taken for one, so that the
// chance of it is at most 1 in 30,000 a pair, with 95 % confidence; DEVELOPERS.md says
// of which.
//
// Limits. Music that is played faster, or at another pitch, is not recognised. A
// recording over 20 minutes has no print: a set holds many tunes. A loop counts only as
// long as it lasts before it repeats: tunes over one drum loop are different tunes, and
// two versions of a track that is nothing but a few bars are not found.
package fingerprint
