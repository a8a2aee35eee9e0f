package standout

// How the balance of masters of one kind differs: standard deviations in dB and
// correlations, of the half of the bench's masters with even seeds (nine genres, 26
// masters each) and, for a fourteenth part of it, of open pieces of all kinds (.ci/verdicts -half all
// -prior). Their level has nothing to do with their balance. They serve while references are
// few: priorMasters of them weigh as much.
var (
	priorSpread      = tone{1.00, 1.08, 1.17, 1.33, 1.83, 2.54, 3.23, 0.73, 2.60, 2.06, 1.58, 1.54, 1.79, 1.93, 2.13, 2.36}
	priorCorrelation = [tones]tone{
		{1, -0.26, -0.45, -0.44, -0.39, -0.41, 0.23, 0, 0.34, 0.41, 0.27, 0.14, -0.41, -0.34, -0.36, -0.42},
		{-0.26, 1, -0.11, -0.15, -0.15, -0.15, 0.09, 0, -0.23, -0.17, -0.03, -0.23, -0.11, -0.18, -0.14, -0.14},
		{-0.45, -0.11, 1, 0.21, 0.16, 0.18, 0.14, 0, -0.26, -0.25, -0.2, -0.1, 0.12, 0.16, 0.18, 0.19},
		{-0.44, -0.15, 0.21, 1, 0.6, 0.48, 0.08, 0, -0.18, -0.21, -0.17, -0.12, 0.71, 0.52, 0.49, 0.51},
		{-0.39, -0.15, 0.16, 0.6, 1, 0.83, 0.18, 0, -0.21, -0.27, -0.23, -0.14, 0.93, 0.97, 0.94, 0.88},
		{-0.41, -0.15, 0.18, 0.48, 0.83, 1, 0.1, 0, -0.23, -0.22, -0.17, -0.11, 0.73, 0.78, 0.85, 0.98},
		{0.23, 0.09, 0.14, 0.08, 0.18, 0.1, 1, 0, -0.57, -0.25, -0.25, 0.06, 0.13, 0.18, 0.21, 0.12},
		{0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0},
		{0.34, -0.23, -0.26, -0.18, -0.21, -0.23, -0.57, 0, 1, 0.26, 0.25, -0.06, -0.18, -0.19, -0.24, -0.23},
		{0.41, -0.17, -0.25, -0.21, -0.27, -0.22, -0.25, 0, 0.26, 1, 0.22, 0.22, -0.24, -0.24, -0.29, -0.24},
		{0.27, -0.03, -0.2, -0.17, -0.23, -0.17, -0.25, 0, 0.25, 0.22, 1, 0.22, -0.21, -0.22, -0.22, -0.18},
		{0.14, -0.23, -0.1, -0.12, -0.14, -0.11, 0.06, 0, -0.06, 0.22, 0.22, 1, -0.13, -0.11, -0.12, -0.1},
		{-0.41, -0.11, 0.12, 0.71, 0.93, 0.73, 0.13, 0, -0.18, -0.24, -0.21, -0.13, 1, 0.86, 0.79, 0.78},
		{-0.34, -0.18, 0.16, 0.52, 0.97, 0.78, 0.18, 0, -0.19, -0.24, -0.22, -0.11, 0.86, 1, 0.92, 0.83},
		{-0.36, -0.14, 0.18, 0.49, 0.94, 0.85, 0.21, 0, -0.24, -0.29, -0.22, -0.12, 0.79, 0.92, 1, 0.9},
		{-0.42, -0.14, 0.19, 0.51, 0.88, 0.98, 0.12, 0, -0.23, -0.24, -0.18, -0.1, 0.78, 0.83, 0.9, 1},
	}
)

const (
	// priorMasters is what the prior's correlations weigh, in references. Between 40 and 100
	// about as much is found in the same half, and of pieces of other kinds fewer are flagged the
	// less it is.
	priorMasters = 40.0
	// priorVariances is what its variances weigh, and priorLow what those of the figures in
	// varied do: how much the parts of the low end differ depends on the notes that the basses
	// play, in one kind of music three times as much as in another.
	priorVariances = 7.0
	priorLow       = 3.0
	// priorScale is what it weighs, in references, where it is learnt from them how much more or
	// less they differ on the whole than the masters of the bench. leastScale is the least that
	// this may come to, as a factor of the variance; mostRatioOfSpread how much one figure has to
	// say, as the same.
	priorScale        = 5.0
	leastScale        = 0.3
	mostRatioOfSpread = 3.0
)

// varied are the share of the sub and the third octaves of the low end.
const varied = mask(1<<subShare | 15<<firstThird)

// prior is the covariance of those.
func prior(i, j int) float64 { return priorSpread[i] * priorSpread[j] * priorCorrelation[i][j] }
