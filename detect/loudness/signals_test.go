package loudness

import "math"

// part is a stretch of a test signal: a level in dBFS, by the peak of the sine
// in each channel as EBU Tech 3341 states them, and a length in seconds.
type part struct{ dBFS, seconds float64 }

var silent = math.Inf(-1)

// tone makes a 1 kHz sine of one channel that goes through the parts with its
// phase unbroken and its level switched hard, as Tech 3341 section 2.9 has it.
func tone(rate int, parts ...part) []float32 { return toneAt(rate, 1000, parts...) }

// toneAt is tone at a whole number of hertz, so that one second repeats.
func toneAt(rate, hz int, parts ...part) []float32 {
	second := make([]float64, rate)
	for i := range second {
		second[i] = math.Sin(2 * math.Pi * float64(hz) * float64(i) / float64(rate))
	}
	length := 0.0
	for _, p := range parts {
		length += p.seconds
	}
	x := make([]float32, int(math.Round(length*float64(rate))))
	from, end := 0, 0.0
	for _, p := range parts {
		end += p.seconds
		to := int(math.Round(end * float64(rate)))
		if p.dBFS != silent {
			a := math.Pow(10, p.dBFS/20)
			for i := from; i < to; i++ {
				x[i] = float32(a * second[i%rate])
			}
		}
		from = to
	}
	return x
}

// repeat gives n times the same parts.
func repeat(n int, parts ...part) []part {
	var all []part
	for range n {
		all = append(all, parts...)
	}
	return all
}

// measure writes channels to a meter and returns its result.
func measure(rate int, weights []float64, channels ...[]float32) Result {
	m := New(rate, weights)
	writeAll(m, channels...)
	return m.Result()
}

// stereo measures the same signal in both channels.
func stereo(rate int, x []float32) Result { return measure(rate, Weights(2, 0), x, x) }

// writeAll writes in blocks of an odd size.
func writeAll(m *Meter, channels ...[]float32) {
	const size = 4001
	block := make([][]float32, len(channels))
	for from := 0; from < len(channels[0]); from += size {
		to := min(from+size, len(channels[0]))
		for c := range block {
			block[c] = channels[c][from:to]
		}
		m.Write(block)
	}
}

// poll writes a stereo signal in steps of 10 ms and calls each with the
// momentary and short-term loudness after every step, as a live meter would
// show them; silence is minus infinity.
func poll(rate int, x []float32, each func(seconds, momentary, shortTerm float64)) {
	m := New(rate, Weights(2, 0))
	for from := 0; from < len(x); {
		to := min(len(x), int(m.nextEnd))
		m.Write([][]float32{x[from:to], x[from:to]})
		from = to
		each(float64(to)/float64(rate), level(m.meanPower(&m.momentary)), level(m.meanPower(&m.shortTerm)))
	}
}

func level(power float64) float64 {
	if power <= 0 {
		return silent
	}
	return lufs(power)
}
