package key

// evidenceWeights is how much each feature counts, chordWeights how much each chord does, by
// mode, by what is asked of it, and by its root in semitones above the tonic: major chords in
// the first row, minor ones in the second. All are those of a multinomial logistic regression
// on the even seeds of the yardstick and on 600 random tunes, and TestFit makes them again. That of
// enters is fitted last and alone, with songs of sections in place of the tunes, which have none. The
// ridge, 0.003 for chords, is ten times what is best for those: of a published piece with few
// thirds the key then follows it to other pitches as it did without chords.
var evidenceWeights = [featureCount]float64{
	isMinor: 1.16, fits: 6.96, bassRoot: 1.67, root: 6.42, third: 0.80, sixth: 0.38, seventh: 0.25, opens: 0.51, enters: 1.13,
}

var chordWeights = [2][chordRoles]perChord{
	Major: {
		chordSounds: {
			0.25, 0.02, -0.92, -0.01, -0.36, 0.46, 0.05, 0.63, -0.01, 0.03, 0.25, -0.12,
			-0.39, 0.03, 0.11, 0, -0.18, -0.21, -0.06, -0.60, 0.04, 0.07, -0.04, -0.10,
		},
		leadsHome: {
			0, -0.02, -0.33, -0.05, -0.13, 0.46, 0.01, 1.04, 0, -0.04, -0.18, -0.04,
			-0.06, 0.03, -0.21, -0.03, -0.23, -0.24, -0.01, -0.40, 0, -0.56, -0.06, -0.12,
		},
		leftFor: {
			0, 0.02, -0.42, -0.10, -0.08, 0.39, 0.01, 0.22, -0.05, 0.04, 0.38, -0.03,
			-0.03, 0.05, 0.05, -0.02, 0.08, -0.21, 0, -0.20, 0.01, 0.39, -0.03, -0.11,
		},
	},
	Minor: {
		chordSounds: {
			-0.41, 0.41, -0.33, -0.93, 0, -0.39, -0.10, 0.86, -0.32, 0.12, 0.94, -0.11,
			1.40, 0.28, 0.04, -0.34, 0.25, -0.52, -0.07, 0.29, -0.07, 0.28, -0.24, 0.04,
		},
		leadsHome: {
			-0.04, 0.32, -0.07, -0.54, 0.01, 0.51, -0.01, 0.93, 0, -0.01, 0.56, -0.02,
			0, 0.01, -0.03, -0.18, 0.03, -0.13, 0, -0.15, 0, 0.01, -0.08, 0,
		},
		leftFor: {
			-0.05, 0.17, -0.16, 0.27, 0.01, 0.45, -0.06, 0.66, 0.26, -0.01, 0.75, -0.04,
			0, 0, -0.02, -0.06, 0.03, 0.16, -0.01, 0.47, -0.04, 0, 0.07, -0.02,
		},
	},
}
