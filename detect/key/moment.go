package key

import "math"

const (
	// lowestNote is the MIDI number of the lowest note that is looked for,
	// C1 = 32.7 Hz; noteCount notes up from there reach topHz.
	lowestNote = 24
	noteCount  = 82
	// binsPerSemitone is the grid that pitch is kept on, steps of 10 cents:
	// fine enough to be folded to semitones once the tuning is known.
	binsPerSemitone = 10
	binCount        = noteCount * binsPerSemitone
	// momentFrames is how many frames a moment sums up, 0.56 s, before moments have to be
	// merged: about a beat, which a chord seldom goes below. Common practice, no source.
	momentFrames = 3
	// segmentMoments is how many of these make a segment, 4.5 s: two bars or more, in which
	// a key begins to show. Segments do not grow before moments are as long.
	segmentMoments = 8
	// clearRatio is from which ratio to its surroundings a peak shows that tones sound at
	// all: it is what the maxima of noise reach.
	clearRatio = 3.0
	// maxMoments bounds the memory: a track of over 10 minutes has its moments merged two
	// by two, as often as needed.
	maxMoments = 1152
)

// clearWeight is the weight of a peak of clearRatio.
var clearWeight = math.Log(clearRatio / tonalRatio)

// moment is what is kept of about half a second of the track: the summed weight of
// the peaks on a grid of pitch, from half a semitone below lowestNote.
type moment struct {
	pitch  [binCount]float32
	clear  float64            // summed weight of peaks beyond clearRatio, by their emphasis
	power  [bandCount]float32 // summed over the frames
	frames int
}

// add sums up the peaks of a frame. Each is shared between the two bins next
// to it.
func (s *moment) add(peaks []peak) {
	for _, p := range peaks {
		midi := 69 + 12*math.Log2(p.hz/440)
		x := (midi - lowestNote + 0.5) * binsPerSemitone
		i := int(x)
		if x < 0 || i+1 >= binCount {
			continue
		}
		if over := p.weight - clearWeight; over > 0 {
			s.clear += over * emphases[i/binsPerSemitone]
		}
		f := x - float64(i)
		s.pitch[i] += float32(p.weight * (1 - f))
		s.pitch[i+1] += float32(p.weight * f)
	}
	s.frames++
}

// merge adds another moment to s.
func (s *moment) merge(o *moment) {
	for i, v := range o.pitch {
		s.pitch[i] += v
	}
	s.clear += o.clear
	for i, v := range o.power {
		s.power[i] += v
	}
	s.frames += o.frames
}

// notes folds the pitch grid to semitones, cents being the tuning. A bin counts for the
// nearest semitone with
//
//	cos^2(pi d / 100)
//
// d its distance in cents: what lies between two semitones belongs to none.
func (s *moment) notes(cents float64) (x [noteCount]float64) {
	const step = 100.0 / binsPerSemitone
	for i, v := range s.pitch {
		if v == 0 {
			continue
		}
		at := (float64(i)*step-cents)/100 - 0.5
		note := math.Round(at)
		if note < 0 || note >= noteCount {
			continue
		}
		c := math.Cos(math.Pi * (at - note))
		x[int(note)] += c * c * float64(v)
	}
	return x
}
