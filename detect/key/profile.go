package key

import "math"

// profile says how much each semitone above the tonic is expected to sound in
// a major and in a minor key.
type profile struct {
	name  string
	modes [2][12]float64 // indexed by Mode
}

// profiles are published, from listening tests and from corpora; their mean decides, see
// the package comment.
var profiles = []profile{
	{"krumhansl", [2][12]float64{ // Krumhansl & Kessler 1982, listening tests
		{6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88},
		{6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17}}},
	{"temperley05", [2][12]float64{ // Temperley 2005, from the Kostka-Payne corpus
		{.748, .060, .488, .082, .670, .460, .096, .715, .104, .366, .057, .400},
		{.712, .084, .474, .618, .049, .460, .105, .747, .404, .067, .133, .330}}},
	{"albrecht", [2][12]float64{ // Albrecht & Shanahan 2013, from a corpus
		{.238, .006, .111, .006, .137, .094, .016, .214, .009, .080, .008, .081},
		{.220, .006, .104, .123, .019, .103, .012, .214, .062, .022, .061, .052}}},
	{"thpcp", [2][12]float64{ // Gomez 2006
		{.95162, .20742, .71758, .22007, .71341, .48841, .31431, 1.0, .20957, .53657, .22585, .55363},
		{.94409, .21742, .64525, .63229, .27897, .57709, .26428, 1.0, .26428, .30633, .45924, .35929}}},
	{"edma", [2][12]float64{ // Faraldo, Gomez, Jorda & Herrera, ECIR 2016, dance music
		{1, .2875, .5020, .4048, .6050, .5614, .3205, .7966, .3159, .4506, .4202, .3889},
		{1, .3096, .4415, .5827, .3262, .4948, .2889, .7804, .4328, .2903, .5331, .3217}}},
	{"bgate", [2][12]float64{ // Faraldo, Jorda & Herrera, AES 2017, dance music
		{1, 0, .42, 0, .53, .37, 0, .77, 0, .38, .21, .30},
		{1, 0, .36, .39, 0, .38, 0, .74, .27, 0, .42, .23}}},
}

// expected is the mean of the profiles, each with mean 0 and length 1: its product with
// such a chroma is the mean of Pearson's coefficients with all of them.
var expected = func() (mean [2][12]float64) {
	for i := range profiles {
		for mode := range mean {
			s, _ := standardised(&profiles[i].modes[mode])
			for up, v := range s {
				mean[mode][up] += v / float64(len(profiles))
			}
		}
	}
	return mean
}()

// standardised returns v with mean 0 and length 1; false when v is flat.
func standardised(v *[12]float64) (s [12]float64, ok bool) {
	mean, norm := 0.0, 0.0
	for _, x := range v {
		mean += x / 12
	}
	for i, x := range v {
		s[i] = x - mean
		norm += s[i] * s[i]
	}
	if norm <= 1e-18*mean*mean || norm == 0 {
		return [12]float64{}, false
	}
	for i := range s {
		s[i] /= math.Sqrt(norm)
	}
	return s, true
}
