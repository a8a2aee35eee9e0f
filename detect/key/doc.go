// Package key estimates the musical key of a track: tonic and mode, how sure
// that is, the next best key, the tuning, what share of the track agrees, and where
// the key changes.
//
// A Meter is written the track's blocks, at any rate from 8 kHz, and holds
// under 2 MB whatever the length. The signal is decimated to 11-22 kHz; tonal
// peaks are picked against their surroundings, which whitens the spectrum and
// leaves noise out; they are kept on a grid of pitch for each few seconds,
// explained as notes with overtones once the tuning is known (Mauch & Dixon,
// ISMIR 2010), and folded to pitch classes, those of the bass apart. What then speaks
// for each of the 24 keys - how it fits the mean of six published profiles, whether the
// bass stays on its root, which third, sixth and seventh sound - is weighed by a
// logistic regression (features, evidenceWeights).
//
// The weights are fitted to a yardstick (yardMusic): 22 kinds of progression in all
// keys, with drums of any pitch, detuned by up to 50 cents, in clips that begin anywhere
// and in whole tracks. Even seeds are for fitting, odd ones are shown. MIREX scores by
// cross-validation between the halves, about 1,500 pieces, by which profile served; the
// other weights fitted anew for each:
//
//	krumhansl .780   albrecht .784   edma .792    edma, bgate, albrecht .792
//	temperley05 .775 thpcp .777      bgate .792   all six .789
//
// The single best are no better than the mean beyond chance, and it was kept, being no one
// corpus' own. Separating harmonic from percussive parts (FitzGerald, DAFx 2010) was not
// done: peaks from twice their surroundings, not from three times, and segments that count by
// how full of notes they are did most of it: drums cost 8 points before, 5 now.
//
// Confidence is a logistic regression on the log odds of the key, from even seeds; of
// odd ones each step of 0.1 is within 10 points of what is right. Of 200 random tunes (TestConfidenceMeansSomething), many
// without a tonic to be heard, it claims 0.7 and half are right.
//
// Limits: modes other than major and minor are given as the one whose third they have.
// Loops that share their chords with those of another key, as I V vi IV does with
// i VI III VII of the relative minor, are told apart by where they begin, which is not
// heard here: one is given, the other is the runner-up. Drum kits with loud pitched toms
// now and then are given a key. Of changes, those to the relative or parallel key are not named,
// nor keys held for less than 20 s.
package key
