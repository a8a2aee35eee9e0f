package spectrum

import "math"

// layer is the transform of a decimated signal for some of the lower bands.
type layer struct {
	frames *frames
	pieces [][]float32 // decimated samples of each channel, waiting for the others
	factor int         // samples of the track for each of its own
	lead   int64       // from a frame's first sample to the step that it stands for
	means  means
	sums   []sum
	out    []float64
	from   int       // first bin that a sum needs
	gain   []float64 // 1 over the power gain of the decimators at each bin
	bins   []float64 // power of each bin
	mix    *mix      // nil where the mono sum isn't asked for
	side   []float64 // power of each bin of the difference; nil unless there are two channels
	bands  int       // how many of the sums are bands
	whole  float64   // weight of a frame that lies wholly in the track
	length int64     // of the decimated track; huge until it is known
}

// mix is what the mono loss needs.
type mix struct {
	mains      []int     // channels but the low-frequency one
	full, mono []float64 // powers of their bins
	sum        sum
}

// lowFrequencyChannel is where files of 6 to 8 channels keep the channel for
// low-frequency effects (order of WAVEFORMATEXTENSIBLE).
const lowFrequencyChannel = 3

// newLayer makes a layer of overlapping frames with the given window, a step
// being hop samples; gain is the power gain of what decimated the signal.
func newLayer(window []float32, hop int, binHz float64, channels, factor int, sums []sum, gain func(hz float64) float64) *layer {
	n := len(window)
	l := &layer{factor: factor, lead: int64(n-hop) / 2, sums: sums, length: 1 << 62}
	l.frames = newFrames(window, hop, channels, int(l.lead), l.take)
	l.whole = l.frames.weight(0, l.length)
	for range channels {
		l.pieces = append(l.pieces, make([]float32, 0, n))
	}
	last := 0
	l.from = n / 2
	for _, s := range sums {
		if len(s.weight) > 0 {
			l.from, last = min(l.from, s.from), max(last, s.from+len(s.weight)-1)
		}
	}
	l.bins, l.gain = make([]float64, last+1), make([]float64, last+1)
	for k := range l.gain {
		l.gain[k] = 1 / gain(float64(k)*binHz)
	}
	return l
}

// keep sets how many values a step has, and how many of the sums are bands, of which
// those of the difference of two channels follow.
func (l *layer) keep(width, bands int) {
	if len(l.pieces) == 2 {
		l.bands, l.side = bands, make([]float64, len(l.bins))
		width += bands
	}
	l.means.width, l.out = width, make([]float64, width)
}

// step is how many samples of the track a step has.
func (l *layer) step() float64 { return float64(l.frames.hop * l.factor) }

// put appends decimated samples of a channel.
func (l *layer) put(c int, x []float32) { l.pieces[c] = append(l.pieces[c], x...) }

// frame moves the decimated samples into frames.
func (l *layer) frame() {
	for n := len(l.pieces[0]); n > 0; n = len(l.pieces[0]) {
		take := min(n, l.frames.room())
		for c, x := range l.pieces {
			l.frames.put(c, x[:take])
			l.pieces[c] = x[:copy(x, x[take:])]
		}
		l.frames.advance(take)
	}
}

// take stores the means of one frame, which is one step.
func (l *layer) take(start int64) {
	if start+l.lead >= l.length {
		return
	}
	n := int64(len(l.frames.window))
	w := l.whole
	if start < 0 || start+n > l.length {
		w = l.frames.weight(start, l.length)
	}
	l.powers(2 / (float64(n) * w))
	for i := range l.sums {
		l.out[i] = l.sums[i].of(l.bins)
	}
	if l.mix != nil {
		l.out[len(l.sums)], l.out[len(l.sums)+1] = l.mix.sum.of(l.mix.full), l.mix.sum.of(l.mix.mono)
	}
	if l.side != nil {
		for i, at := 0, len(l.out)-l.bands; i < l.bands; i++ {
			l.out[at+i] = l.sums[i].of(l.side)
		}
	}
	l.means.add(l.out)
}

// powers fills bins, full and mono.
//
//	P[k] = 2 sum over channels of |X[k]|^2 / (N W)
//	mono = 2 |sum over channels of X[k]|^2 / (n N W)
func (l *layer) powers(scale float64) {
	var x [8]complex64
	for k := l.from; k < len(l.bins); k++ {
		all := 0.0
		for p := range l.frames.output {
			x[2*p], x[2*p+1] = l.frames.pair(p, k)
			all += squared(x[2*p]) + squared(x[2*p+1])
		}
		g := scale * l.gain[k]
		l.bins[k] = g * all
		if l.side != nil {
			l.side[k] = g * squared(x[0]-x[1]) / 2
		}
		if l.mix != nil {
			l.mix.bin(k, g, &x)
		}
	}
}

// bin fills bin k from the channels' transforms x, g being the scale.
func (m *mix) bin(k int, g float64, x *[8]complex64) {
	full := 0.0
	var sum complex64
	for _, c := range m.mains {
		full += squared(x[c])
		sum += x[c]
	}
	m.full[k], m.mono[k] = g*full, g*squared(sum)/float64(len(m.mains))
}

func squared(v complex64) float64 {
	re, im := float64(real(v)), float64(imag(v))
	return re*re + im*im
}

// end says how many samples the track has.
func (l *layer) end(length int64) {
	l.length = int64(math.Ceil(float64(length) / float64(l.factor)))
}
