// Package key estimates the musical key of a track: tonic and mode, how sure
// that is, the next best key, the tuning, and what share of the track agrees.
//
// A Meter is written the track's blocks, at any rate from 8 kHz, and holds
// under 2 MB whatever the length. The signal is decimated to 11-22 kHz; tonal
// peaks are picked against their surroundings, which whitens the spectrum and
// leaves noise out; they are kept on a grid of pitch for each few seconds,
// explained as notes with overtones once the tuning is known (Mauch & Dixon,
// ISMIR 2010), folded to the twelve pitch classes and compared with the mean of
// six published key profiles.
//
// Why the mean: no single profile led on all of the material that it was tried
// on (6 electronic pieces, 17 sampled-instrument arrangements, 65 synthesised
// loops). MIREX scores of an early front end, half-overlapping frames of 0.37 s
// and harmonic weighting in place of transcription:
//
//	profile                        pieces  arrangements  loops
//	bgate                           .92       .84         .84
//	edma                            .83       .81         .79
//	albrecht                        .83       .85         .82
//	krumhansl                       .83       .81         .79
//	temperley05                     .72       .84         .82
//	bgate, edma, albrecht           .92       .84         .84
//	all of these and thpcp          .92       .89         .87
//
// The low end counts. On the same material, making the notes below E3 count no
// more than others cost 10 points on the arrangements, giving no weight to
// those below C2 cost 11 to 12 on the loops; leaving out what lies below G1 cost
// nothing and kept a piece whose kick drum is out of key from following it.
//
// Confidence is 0.45 to 0.89 by the lead on the runner-up and the agreement. Its
// form was set between a logistic regression on random tunes, which are harder
// than records (TestConfidenceMeansSomething makes and counts them), and the
// pieces and arrangements, whose keys are plain. It never claims 0.9.
//
// Limits: one key is given for the whole track. Modes other than major and
// minor are given as the one they are nearer to. Two-chord loops are as
// ambiguous here as they are to musicians; the runner-up then is a fifth off or
// the relative.
package key
