package transfer

import (
	"math"
	"math/rand/v2"
)

const plantRate = 44100

func amplitude(db float64) float64 { return math.Pow(10, db/20) }

// plantHum adds mains hum whose strongest line has the level, RMS in dBFS, with lines
// at one to five times base; the mains wander by some hundredths of a hertz.
func plantHum(x [][]float32, base, db float64, rng *rand.Rand) {
	phase := rng.Float64() * 6
	gains := [...]float64{1, 0.5 + 0.3*rng.Float64(), 0.3 + 0.4*rng.Float64(), 0.2, 0.25}
	a := amplitude(db) * math.Sqrt2
	offset := 0.04 * rng.NormFloat64()
	for i := range x[0] {
		t := float64(i) / plantRate
		p := phase + 2*math.Pi*((base+offset)*t+0.1*math.Sin(t/9))
		v := 0.0
		for h, g := range gains {
			v += a * g * math.Sin(float64(h+1)*p+float64(h*h))
		}
		x[0][i] += float32(v)
		x[1][i] += float32(0.8 * v)
	}
}

// plantHiss adds white noise to each channel, RMS in dBFS, with a tilt of a first-order
// low-pass at 10 kHz as tape and phono stages have.
func plantHiss(x [][]float32, db float64, rng *rand.Rand) {
	a := amplitude(db) * 1.35
	for c := range x {
		y := 0.0
		for i := range x[c] {
			y += 0.76 * (rng.NormFloat64() - y)
			x[c][i] += float32(a * y)
		}
	}
}

// plantRumble adds noise below 30 Hz, RMS of each channel in dBFS: a resonance at 11 Hz
// and a skirt, the channels mostly in opposite phase.
func plantRumble(x [][]float32, db float64, rng *rand.Rand) {
	n := len(x[0])
	mid, side := rumbleNoise(n, rng), rumbleNoise(n, rng)
	a := amplitude(db) / math.Sqrt(0.4*0.4+0.9*0.9)
	for i := range x[0] {
		x[0][i] += float32(a * (0.4*mid[i] + 0.9*side[i]))
		x[1][i] += float32(a * (0.4*mid[i] - 0.9*side[i]))
	}
}

// swayingRumble is noise of 8 to 28 Hz in the difference of the channels that rises and falls
// by 6 dB with each turn of the record.
func swayingRumble(x [][]float32, db float64, rng *rand.Rand) {
	noise := rumbleNoise(len(x[0]), rng)
	a := amplitude(db) / math.Sqrt(1+0.5*0.5/2)
	for i, v := range noise {
		v *= a * (1 + 0.5*math.Sin(2*math.Pi*turntables[0]*float64(i)/plantRate))
		x[0][i] += float32(v)
		x[1][i] -= float32(v)
	}
}

func rumbleNoise(n int, rng *rand.Rand) []float64 {
	out := make([]float64, n)
	sum := 0.0
	for _, f := range []struct{ hz, r float64 }{{11, 0.9996}, {24, 0.9990}} {
		w := 2 * math.Pi * f.hz / plantRate
		a, b := 0.0, 0.0
		g := (1 - f.r) * 20
		for i := range out {
			v := 2*f.r*math.Cos(w)*a - f.r*f.r*b + g*rng.NormFloat64()
			a, b = v, a
			out[i] += v
		}
	}
	for _, v := range out {
		sum += v * v
	}
	k := 1 / math.Sqrt(sum/float64(n))
	for i := range out {
		out[i] *= k
	}
	return out
}

// plantClicks adds clicks of a record at irregular times: damped swings of 0.1 to 2 ms,
// their peaks between low and high dBFS, on one side or both. It returns the times.
func plantClicks(x [][]float32, perMinute, low, high float64, rng *rand.Rand) (at []float64) {
	n := len(x[0])
	for t := rng.ExpFloat64() * 60 / perMinute; t < float64(n)/plantRate-0.1; t += rng.ExpFloat64() * 60 / perMinute {
		a := amplitude(low + (high-low)*rng.Float64())
		tau := 0.00005 * math.Pow(8, rng.Float64())
		hz := 1500 * math.Pow(5, rng.Float64())
		left, right := 1.0, 1.0
		switch rng.IntN(4) {
		case 0:
			left = 0.15
		case 1:
			right = 0.15
		case 2:
			right = -1
		}
		from := int(t * plantRate)
		for i := 0; i < int(8*tau*plantRate) && from+i < n; i++ {
			s := float64(i) / plantRate
			v := a * math.Exp(-s/tau) * math.Cos(2*math.Pi*hz*s)
			x[0][from+i] += float32(left * v)
			x[1][from+i] += float32(right * v)
		}
		at = append(at, t)
	}
	return at
}

// plantWow plays x at a speed that swings by percent at hz.
func plantWow(x [][]float32, percent, hz float64) [][]float32 {
	out := [][]float32{make([]float32, len(x[0])), make([]float32, len(x[0]))}
	w := 2 * math.Pi * hz / plantRate
	for i := range out[0] {
		p := float64(i) + percent/100/w*(1-math.Cos(w*float64(i)))
		k := int(p)
		if k < 3 || k+4 >= len(x[0]) {
			continue
		}
		h := &kernels[int((p-float64(k))*kernelSteps)]
		for c := range out {
			v := float32(0)
			for j, g := range h {
				v += g * x[c][k-3+j]
			}
			out[c][i] = v
		}
	}
	return out
}

const kernelSteps = 1024

// kernels are windowed sincs for places between two samples.
var kernels = func() (k [kernelSteps][8]float32) {
	for s := range k {
		norm := 0.0
		var h [8]float64
		for j := range h {
			d := (float64(s)+0.5)/kernelSteps - float64(j-3)
			h[j] = math.Sin(math.Pi*d) / (math.Pi * d) * (0.5 + 0.5*math.Cos(math.Pi*d/4.5))
			norm += h[j]
		}
		for j := range h {
			k[s][j] = float32(h[j] / norm)
		}
	}
	return k
}()

// listen measures x in blocks of 4096.
func listen(x [][]float32) *Meter {
	m := New(plantRate, len(x))
	block := make([][]float32, len(x))
	for from := 0; from < len(x[0]); from += 4096 {
		to := min(from+4096, len(x[0]))
		for c := range x {
			block[c] = x[c][from:to]
		}
		m.Write(block)
	}
	return m
}
