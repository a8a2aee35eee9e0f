package key

import "math"

// profile says how much each semitone above the tonic is expected to sound in
// a major and in a minor key.
type profile struct {
	name  string
	modes [2][12]float64 // indexed by Mode
}

// The published profiles that were compared, see the package comment.
var profiles = []profile{
	{"krumhansl", [2][12]float64{ // Krumhansl & Kessler 1982
		{6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88},
		{6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17}}},
	{"temperley99", [2][12]float64{ // Temperley 1999
		{5.0, 2.0, 3.5, 2.0, 4.5, 4.0, 2.0, 4.5, 2.0, 3.5, 1.5, 4.0},
		{5.0, 2.0, 3.5, 4.5, 2.0, 4.0, 2.0, 4.5, 3.5, 2.0, 1.5, 4.0}}},
	{"temperley05", [2][12]float64{ // Temperley 2005, from the Kostka-Payne corpus
		{.748, .060, .488, .082, .670, .460, .096, .715, .104, .366, .057, .400},
		{.712, .084, .474, .618, .049, .460, .105, .747, .404, .067, .133, .330}}},
	{"albrecht", [2][12]float64{ // Albrecht & Shanahan 2013
		{.238, .006, .111, .006, .137, .094, .016, .214, .009, .080, .008, .081},
		{.220, .006, .104, .123, .019, .103, .012, .214, .062, .022, .061, .052}}},
	{"noland", [2][12]float64{ // Noland & Sandler
		{.0629, .0146, .061, .0121, .0623, .0414, .0248, .0631, .015, .0521, .0142, .0478},
		{.0682, .0138, .0543, .0519, .0234, .0544, .0176, .067, .0349, .0297, .0401, .027}}},
	{"thpcp", [2][12]float64{ // Gomez 2006
		{.95162, .20742, .71758, .22007, .71341, .48841, .31431, 1.0, .20957, .53657, .22585, .55363},
		{.94409, .21742, .64525, .63229, .27897, .57709, .26428, 1.0, .26428, .30633, .45924, .35929}}},
	{"edma", [2][12]float64{ // Faraldo, Gomez, Jorda & Herrera, ECIR 2016
		{1, .2875, .5020, .4048, .6050, .5614, .3205, .7966, .3159, .4506, .4202, .3889},
		{1, .3096, .4415, .5827, .3262, .4948, .2889, .7804, .4328, .2903, .5331, .3217}}},
	{"edmm", [2][12]float64{ // the same paper, by hand; its major never wins
		{.083, .083, .083, .083, .083, .083, .083, .083, .083, .083, .083, .083},
		{.17235348, .04, .0761009, .12, .05621498, .08527853, .0497915, .13451001, .07458916, .05003023, .09187879, .05545106}}},
	{"braw", [2][12]float64{ // Faraldo, Jorda & Herrera, AES 2017
		{1, .1573, .4200, .1570, .5296, .3669, .1632, .7711, .1676, .3827, .2113, .2965},
		{1, .2330, .3615, .3905, .2925, .3777, .1961, .7425, .2701, .2161, .4228, .2272}}},
	{"bgate", [2][12]float64{ // the same paper
		{1, 0, .42, 0, .53, .37, 0, .77, 0, .38, .21, .30},
		{1, 0, .36, .39, 0, .38, 0, .74, .27, 0, .42, .23}}},
}

// ensemble is the profiles whose mean decides.
var ensemble = []profile{profiles[0], profiles[2], profiles[3], profiles[5], profiles[6], profiles[9]}

// correlations gives Pearson's coefficient of the chroma with the profile of
// each key, indexed by mode and tonic. A flat chroma has none: all are zero.
func (p *profile) correlations(chroma *[12]float64) (r scores) {
	c, okC := standardised(chroma)
	for mode := range p.modes {
		t, okT := standardised(&p.modes[mode])
		if !okC || !okT {
			continue
		}
		for tonic := range 12 {
			for i := range 12 {
				r[mode][tonic] += c[(tonic+i)%12] * t[i]
			}
		}
	}
	return r
}

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
