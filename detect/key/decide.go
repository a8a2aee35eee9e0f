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
	opens
	enters
	featureCount
)

// What is asked of each chord, see asked.
const (
	chordSounds = iota // the share of the time for which it sounds
	leadsHome          // the share of the moves that go from it to the tonic chord
	leftFor            // the share that go to it from the tonic chord
	chordRoles
)

const (
	// degreeFloor is added to the share of a scale step before two are compared, so that
	// of two that hardly sound neither leads.
	degreeFloor = 0.03
	// enoughSteps, in decibels, is added to what the steps of all sections sum up to: two that
	// begin on one root are no proof. Each root has rootByChance of it.
	enoughSteps  = 30
	rootByChance = 0.1
	// fourthInMinor is how much a section of a minor key that begins with the major chord on its
	// fourth, as in blues and in dorian, counts beside one that begins on the tonic. With 0 to 1
	// songs of even seeds are told as well; with less, a published piece in minor that goes to its
	// fourth is taken for one in major on that.
	fourthInMinor = 1.0
	// secondInMajor is the same of a major key and the minor chord on its second, with which the
	// turnaround of ii V I begins. With 0.2 to 0.7 even seeds are told alike.
	secondInMajor = 0.2
	// bassFloor is added to the share of the bass, so that where it hardly sounds it has no say.
	bassFloor = 0.02
)

// listener is a part made ready to be asked about keys.
type listener struct {
	all, bass chroma      // shares of all notes; of those of the bass
	shape     [12]float64 // all, with mean 0 and length 1
	chords    *harmony
	sounding  float64 // by which the time of a chord is multiplied to become a share
	moving    float64 // the same of moves; less where there are few
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
	l.chords = &p.chords
	time, moves := 0.0, 0.0
	for c, v := range p.chords.sounding {
		time += v
		for _, w := range p.chords.moves[c] {
			moves += w
		}
	}
	if time > 0 {
		l.sounding = 1 / time
	}
	l.moving = 1 / max(moves, enoughMoves)
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
//	opens     how likely the tonic chord is the one that comes in first, after drums alone
//	enters    how far sections begin as they do in the key, see begins
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
	f[opens] = l.chords.opening[k.Tonic+12*int(k.Mode)]
	f[enters] = l.begins(k)
	return f
}

// begins is how far sections begin as they do in a key, as a logarithm: on the tonic, in minor
// with the major chord on the fourth as well, in major with the minor one on the second. With e[t]
// the steps of those that begin on a root, o of those with the other chord, E the sum of all, S
// enoughSteps, f rootByChance and m fourthInMinor or secondInMajor:
//
//	log((e[t] + m o + f S) / (E + S))
func (l *listener) begins(k Key) float64 {
	e := &l.chords.entering
	on := e[k.Tonic] + e[k.Tonic+12]
	if k.Mode == Minor {
		on += fourthInMinor * e[(k.Tonic+12-fifth)%12]
	} else {
		on += secondInMajor * e[12+(k.Tonic+2)%12]
	}
	return math.Log((on + rootByChance*enoughSteps) / (l.chords.entries + enoughSteps))
}

// asked says what each chord does in a key, its root counted from the tonic.
func (l *listener) asked(k Key) (f [chordRoles]perChord) {
	home := k.Tonic + 12*int(k.Mode)
	for up := range chordCount {
		c := (k.Tonic+up)%12 + up/12*12
		f[chordSounds][up] = l.chords.sounding[c] * l.sounding
		f[leadsHome][up] = l.chords.moves[c][home] * l.moving
		f[leftFor][up] = l.chords.moves[home][c] * l.moving
	}
	return f
}

// evidence is the weighted sum of what speaks for a key.
func (l *listener) evidence(k Key) (z float64) {
	for i, v := range l.features(k) {
		z += evidenceWeights[i] * v
	}
	for role, chords := range l.asked(k) {
		for up, v := range chords {
			z += chordWeights[k.Mode][role][up] * v
		}
	}
	return z
}

// odds holds how likely each key is, by mode and tonic; they sum to 1.
type odds [2][12]float64

// odds weighs the evidence of a part, which must not be empty:
//
//	p = exp(z) / sum over all keys of exp(z)
func (p *part) odds() (o odds) {
	l, sum := p.listener(), 0.0
	for mode := range o {
		for tonic := range o[mode] {
			o[mode][tonic] = math.Exp(l.evidence(Key{tonic, Mode(mode)}))
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
