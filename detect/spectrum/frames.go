package spectrum

import (
	"dubgauge/detect/dsp/fourier"
)

// frames cuts channels into overlapping windowed frames and transforms them,
// two real channels in each complex transform. The squares of the overlapping
// windows add up to a constant.
type frames struct {
	hop    int
	window []float32
	fft    *fourier.Transform
	input  [][]float32   // one frame of each channel
	fill   int           // samples in each
	output [][]complex64 // one transform for each two channels, in the order of fft.place
	next   int64         // place of the next frame's first sample
	done   func(start int64)
}

// newFrames makes frames that begin hop samples apart. It calls done after
// each transform with the place of the frame's first sample. The first frame
// begins early by shift samples.
func newFrames(window []float32, hop, channels, shift int, done func(start int64)) *frames {
	n := len(window)
	f := &frames{hop: hop, window: window, fft: fourier.New(n), fill: shift, next: -int64(shift), done: done}
	for range channels {
		f.input = append(f.input, make([]float32, n))
	}
	for range (channels + 1) / 2 {
		f.output = append(f.output, make([]complex64, n))
	}
	return f
}

// tapered is a window of n samples that is flat between two tapers of the
// given length and shape.
//
//	w[n] = taper((n + 1/2)/T), 1, the same backwards
//
// Where the squares of a taper and of its mirror image add up to 1 and frames
// begin n - T apart, every sample counts equally and powers are exact whatever
// the music does.
func tapered(n, length int, taper func(float64) float64) []float32 {
	w := make([]float32, n)
	for i := range w {
		edge := min(float64(i)+0.5, float64(n-i)-0.5) / float64(length)
		w[i] = float32(taper(min(1, edge)))
	}
	return w
}

// room is how many samples the current frame still takes.
func (f *frames) room() int { return len(f.window) - f.fill }

// put copies samples of one channel into the current frame, advance counts
// them once all channels have theirs.
func (f *frames) put(channel int, x []float32) { copy(f.input[channel][f.fill:], x) }

func (f *frames) advance(n int) {
	f.fill += n
	if f.fill == len(f.window) {
		f.transform()
	}
}

// finish transforms the frame under way, filled up with silence.
func (f *frames) finish() {
	for _, in := range f.input {
		clear(in[f.fill:])
	}
	f.transform()
}

func (f *frames) transform() {
	for p, out := range f.output {
		w, left := f.window[:len(out)], f.input[2*p][:len(out)]
		if 2*p+1 < len(f.input) {
			right := f.input[2*p+1][:len(out)]
			for i := range out {
				out[i] = complex(w[i]*left[i], w[i]*right[i])
			}
		} else {
			for i := range out {
				out[i] = complex(w[i]*left[i], 0)
			}
		}
		f.fft.Do(out)
	}
	f.done(f.next)
	f.next += int64(f.hop)
	for _, in := range f.input {
		copy(in, in[f.hop:])
	}
	f.fill = len(f.window) - f.hop
}

// weight is the sum of the squared window over the samples of a frame that
// lie in a track of the given length.
//
//	W = sum of w[n]^2
func (f *frames) weight(start, length int64) float64 {
	sum := 0.0
	for i, w := range f.window {
		if at := start + int64(i); at >= 0 && at < length {
			sum += float64(w) * float64(w)
		}
	}
	return sum
}

// pair gives the transforms of two channels l and r at bin k from that of
// l + i r.
//
//	L = (Z[k] + conj Z[N-k])/2   R = (Z[k] - conj Z[N-k])/(2i)
func (f *frames) pair(p, k int) (l, r complex64) {
	z, n := f.output[p], len(f.window)
	a, b := z[f.fft.Place()[k]], z[f.fft.Place()[(n-k)%n]]
	b = complex(real(b), -imag(b))
	s, d := a+b, a-b
	return complex(real(s)/2, imag(s)/2), complex(imag(d)/2, -real(d)/2)
}
