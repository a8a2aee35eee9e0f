package key

// evidenceWeights is how much each feature counts, chordWeights how much each chord does, by
// mode, by what is asked of it, and by its root in semitones above the tonic: major chords in
// the first row, minor ones in the second. All are those of a multinomial logistic regression
// (ridge 3e-4) on the even seeds of the yardstick and on 600 random tunes, and TestFit makes
// them again. They are what is known of chords and keys: the tonic chord sounds most, V leads to
// I, bVII and iv to i, and ii is not home.
var evidenceWeights = [featureCount]float64{
	isMinor: 1.31, fits: 5.83, bassRoot: -1.36, root: 1.19, third: 0.58, sixth: 0.49, seventh: 0.36, opens: 1.95,
}

var chordWeights = [2][chordRoles]perChord{
	Major: {
		chordSounds: {
			3.72, 0.11, -3.32, -0.22, -1.81, 1.03, 0.23, 0.62, -0.24, -0.27, 1.23, -0.78,
			0.99, 0.11, 0.65, 0.12, 0.05, -0.44, -0.32, -2.34, 0.11, 0.55, -0.26, -0.84,
		},
		leadsHome: {
			0, 0.04, -0.92, -0.37, -0.69, 1.62, 0.04, 3.25, -0.05, -0.84, -1.87, -0.19,
			-0.27, 0.01, -0.57, -0.12, -0.58, -0.89, -0.01, -1.66, -0.02, -2.45, -0.29, -0.40,
		},
		leftFor: {
			0, 0, -0.83, -0.82, -0.26, 1.91, 0.04, 0.45, -0.40, 0.09, 2.40, 0.05,
			-0.05, 0.26, 0.81, -0.11, 0.78, -0.97, 0.02, -0.78, 0.06, 1.24, 0.04, -0.08,
		},
	},
	Minor: {
		chordSounds: {
			2.62, 1.12, -1.45, -1.48, -0.42, -1.16, -0.75, 0.59, -0.23, 0.43, 1.21, -0.80,
			3.72, 1.39, 0.05, -2.51, 1.13, -0.49, -0.47, -0.28, -0.90, 1.19, -1.49, 0.28,
		},
		leadsHome: {
			0.17, 2.16, -0.66, -1.66, -0.19, 2.36, -0.28, 3.41, -0.60, -0.21, 1.92, 0.01,
			0, 0.07, -0.29, -1.42, -0.11, 0.28, -0.14, -1.40, -0.02, -0.16, -0.45, -0.08,
		},
		leftFor: {
			-0.03, 1.30, -0.54, 1.86, -0.11, 2.11, -0.50, 2.06, 1.57, -0.12, 3.07, -0.12,
			0, -0.09, -0.01, -0.54, -0.16, 1.28, -0.27, 1.74, -0.17, -0.24, 1.34, -0.30,
		},
	},
}
