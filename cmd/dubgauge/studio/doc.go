// Package studio makes club music to test verdicts with: songs of nine genres
// from seeds (Song, Stems), mixes whose balance differs as that of records does,
// one mastering chain (Chain), defects as they happen to masters (Defects), and
// clean tracks that look like faults (Lookalikes).
//
// Everything follows from a genre and a seed, sample for sample. Figures of taste,
// such as which patterns, levels and tempi a genre has, are common practice, no
// source; how far mixes differ is fitted to what published spectra of records
// show: about 1.5 to 2.5 dB (standard deviation) in a third octave of the middle,
// more at both ends (compare P. D. Pestana et al., "Spectral characteristics of
// popular commercial recordings 1950-2010", AES 135, 2013).
package studio

// Version counts changes that alter a single sample of anything made here, so
// that measurements of older audio aren't taken for those of today's.
const Version = 3
