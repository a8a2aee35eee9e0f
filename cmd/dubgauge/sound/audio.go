package sound

// Audio is stereo audio, both channels of one length.
type Audio struct{ L, R []float64 }

// New makes silence of n samples a channel.
func New(n int) Audio { return Audio{make([]float64, n), make([]float64, n)} }

// Len is the length in samples a channel.
func (a Audio) Len() int { return len(a.L) }

// Clone copies the samples.
func (a Audio) Clone() Audio {
	return Audio{append([]float64(nil), a.L...), append([]float64(nil), a.R...)}
}

// Part is the audio from one sample to another, clipped to what there is; it
// shares its samples with a.
func (a Audio) Part(from, to int) Audio {
	from = max(0, min(from, a.Len()))
	to = max(from, min(to, a.Len()))
	return Audio{a.L[from:to], a.R[from:to]}
}

// Both calls f with each channel.
func (a Audio) Both(f func([]float64)) { f(a.L); f(a.R) }

// Filter runs both channels through filters of one make, each with a state of
// its own.
func (a Audio) Filter(design func() *Biquad) {
	a.Both(func(x []float64) { design().Run(x) })
}

// Gain turns both channels by dB.
func (a Audio) Gain(dB float64) { a.Both(func(x []float64) { Scale(x, Decibels(dB)) }) }

// Add adds b, times by, sample for sample.
func (a Audio) Add(b Audio, by float64) {
	Mix(a.L, b.L, by)
	Mix(a.R, b.R, by)
}

// Mix adds src, times by, to dst, as far as both reach.
func Mix(dst, src []float64, by float64) {
	n := min(len(dst), len(src))
	dst, src = dst[:n], src[:n]
	for i, v := range src {
		dst[i] += by * v
	}
}

// Power is the mean power of both channels summed.
func (a Audio) Power() float64 { return power(a.L) + power(a.R) }

func power(x []float64) float64 {
	if len(x) == 0 {
		return 0
	}
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return sum / float64(len(x))
}

// Blocks hands the samples on in blocks of float32, as a meter takes them; a
// block is valid during the call only.
func (a Audio) Blocks(write func(block [][]float32)) {
	const size = 4096
	buf := [2][]float32{make([]float32, size), make([]float32, size)}
	for at := 0; at < a.Len(); at += size {
		n := min(size, a.Len()-at)
		for i := range n {
			buf[0][i], buf[1][i] = float32(a.L[at+i]), float32(a.R[at+i])
		}
		write([][]float32{buf[0][:n], buf[1][:n]})
	}
}
