package truepeak

// Span and Margin give the form of what a Finder looks at: whole spans of samples with a
// margin of its own on each side, which half a filter needs.
const (
	Span   = span
	Margin = margin
)

// Finder finds where a signal passes a level, between its samples too. It has the
// interpolator of the Meter and its errors.
type Finder struct {
	kernel  *kernel
	bounds  *bounds
	extents extents
}

// NewFinder makes one.
func NewFinder() *Finder { return &Finder{kernel: newKernel(), bounds: newBounds()} }

// Over calls found, in their order, for the intervals from buf[i] to buf[i+1] in which
// the magnitude passes limit, with the highest that it reaches there or within an eighth
// of a sample of them. Margin samples at
// both ends are only looked at; what is between them is a whole number of Spans. An
// interval that comes within shadow samples behind a higher one is passed over. It allocates
// nothing but for a longer buf than before.
func (f *Finder) Over(buf []float32, limit float32, shadow int, found func(i int, peak float32)) {
	if n := len(buf) / span; n > len(f.extents) {
		f.extents = make(extents, n)
	}
	e := f.extents[:len(buf)/span]
	e.of(buf)
	last, highestLast := -shadow-1, float32(0)
	for s := margin / span; s < len(e)-margin/span; s++ {
		far := e.around(s, margin/span)
		near := e.around(s, 1).step
		if far.level*f.bounds.norm <= limit*rounding || e[s].level+f.bounds.ends.times(near, far.step) <= limit*rounding {
			continue
		}
		guessOff, halfOff := f.bounds.guess.times(near, far.step), f.bounds.half.times(near, far.step)
		for i := s * span; i < (s+1)*span; i++ {
			least := limit
			if i-last <= shadow {
				least = max(least, highestLast)
			}
			if peak := f.peak(buf, i, least*rounding, guessOff, halfOff); peak > least {
				last, highestLast = i, peak
				found(i, peak)
			}
		}
	}
}

// peak is the highest magnitude between buf[i] and buf[i+1], or 0 where it is not above
// least. The signal is within guessOff of one parabola and within halfOff of another; see
// bounds.
func (f *Finder) peak(buf []float32, i int, least, guessOff, halfOff float32) float32 {
	h, y := &f.bounds.inner, buf[i-innerTaps+1:i+innerTaps+1]
	guess := h[0]*(y[3]+y[4]) + h[1]*(y[2]+y[5]) + h[2]*(y[1]+y[6]) + h[3]*(y[0]+y[7])
	if highest(y[3], guess, y[4])+guessOff <= least {
		return 0
	}
	x := buf[i-halfTaps+1:]
	half := f.kernel.at(oversampling/2, x)
	if highest(buf[i], half, buf[i+1])+halfOff <= least {
		return 0
	}
	return f.kernel.around(buf, i)
}

// around is the highest magnitude of the parabolas between buf[i] and buf[i+1].
func (k *kernel) around(buf []float32, i int) float32 {
	y := k.points(buf, i)
	top := max(magnitude(buf[i]), magnitude(buf[i+1]))
	for p := 1; p <= oversampling+1; p++ {
		v, _ := vertex(magnitude(y[p-1]), magnitude(y[p]), magnitude(y[p+1]))
		top = max(top, v)
	}
	return top
}
