package key

import "math"

// The features that a key is judged by, see features.
const (
	isMinor = iota
	fits
	bassRoot
	root
	third
	sixth
	seventh
	featureCount
)

// evidenceWeights is how much each feature counts: those of a multinomial logistic
// regression on the even seeds of the yardstick, which TestFit makes again.
var evidenceWeights = [featureCount]float64{
	isMinor: 1.05, fits: 7.00, bassRoot: 2.14, root: 6.54, third: 0.78, sixth: 0.35, seventh: 0.18,
}

const (
	// degreeFloor is added to the share of a scale step before two are compared, so that
	// of two that hardly sound neither leads.
	degreeFloor = 0.03
	// bassFloor is added to the share of the bass, so that where it hardly sounds it has no say.
	bassFloor = 0.02
)

// listener is a part made ready to be asked about keys.
type listener struct {
	all, bass chroma      // shares of all notes; of those of the bass
	shape     [12]float64 // all, with mean 0 and length 1
}

func (p *part) listener() (l listener) {
	bass := 0.0
	for _, v := range p.bass {
		bass += v
	}
	for i := range p.all {
		l.all[i] = p.all[i] / p.weight
		l.bass[i] = p.bass[i] / (bass + bassFloor*p.weight)
	}
	l.shape, _ = standardised((*[12]float64)(&l.all))
	return l
}

// features says what speaks for a key. With c the shares of the pitch classes, b those
// within the bass, t the tonic, s = 1 for minor keys and -1 for major ones:
//
//	isMinor   1 for minor keys, 0 for major ones
//	fits      the mean of Pearson's coefficients of c with the key's profiles
//	bassRoot  b[t]: the bass stays on the root
//	root      c[t]
//	third     s log((c[t+3] + f) / (c[t+4] + f)), f being degreeFloor
//	sixth     the same of the steps 8 and 9, seventh of 10 and 11: the natural scales
//	          of minor and major have the lower and the higher of each pair
func (l *listener) features(k Key) (f [featureCount]float64) {
	s := -1.0
	if k.Mode == Minor {
		s = 1
		f[isMinor] = 1
	}
	step := func(up int) float64 { return l.all[(k.Tonic+up)%12] + degreeFloor }
	for i, v := range expected[k.Mode] {
		f[fits] += v * l.shape[(k.Tonic+i)%12]
	}
	f[bassRoot] = l.bass[k.Tonic]
	f[root] = l.all[k.Tonic]
	f[third] = s * math.Log(step(3)/step(4))
	f[sixth] = s * math.Log(step(8)/step(9))
	f[seventh] = s * math.Log(step(10)/step(11))
	return f
}

// odds holds how likely each key is, by mode and tonic; they sum to 1.
type odds [2][12]float64

// odds weighs the evidence of a part, which must not be empty:
//
//	p = exp(w f) / sum over all keys of exp(w f)
func (p *part) odds() (o odds) {
	l, sum := p.listener(), 0.0
	for mode := range o {
		for tonic := range o[mode] {
			z := 0.0
			for i, v := range l.features(Key{tonic, Mode(mode)}) {
				z += evidenceWeights[i] * v
			}
			o[mode][tonic] = math.Exp(z)
			sum += o[mode][tonic]
		}
	}
	for mode := range o {
		for tonic := range o[mode] {
			o[mode][tonic] /= sum
		}
	}
	return o
}

// best gives the likeliest key and the next. Minor wins a tie, being the more
// common in the music that this is for.
func (o *odds) best() (first, second Key) {
	first, second = NoKey, NoKey
	p1, p2 := -1.0, -1.0
	for _, mode := range []Mode{Minor, Major} {
		for tonic, v := range o[mode] {
			switch k := (Key{tonic, mode}); {
			case v > p1:
				first, second, p1, p2 = k, first, v, p1
			case v > p2:
				second, p2 = k, v
			}
		}
	}
	return first, second
}

// of is how likely one key is.
func (o *odds) of(k Key) float64 { return o[k.Mode][k.Tonic] }
