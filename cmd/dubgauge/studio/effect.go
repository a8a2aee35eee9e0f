package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
)

// svf is the state-variable filter with trapezoidal integration (A. Simper, 2013),
// which can be moved while it runs.
type svf struct{ a1, a2, a3, k, s1, s2 float64 }

func (f *svf) tune(hz float64) {
	g := math.Tan(math.Pi * math.Min(hz, 0.45*sound.Rate) / sound.Rate)
	f.k = math.Sqrt2
	f.a1 = 1 / (1 + g*(g+f.k))
	f.a2 = g * f.a1
	f.a3 = g * f.a2
}

// next gives the low-pass and the high-pass output.
func (f *svf) next(v float64) (low, high float64) {
	v3 := v - f.s2
	v1 := f.a1*f.s1 + f.a2*v3
	v2 := f.s2 + f.a2*f.s1 + f.a3*v3
	f.s1, f.s2 = 2*v1-f.s1, 2*v2-f.s2
	return v2, v - f.k*v1 - v2
}

// retune is how often a moving filter follows, in samples.
const retune = 64

// sweep moves a filter from one frequency to another over the whole of x.
func sweep(x []float64, from, to float64, high bool) {
	var f svf
	for i, v := range x {
		if i%retune == 0 {
			f.tune(from * math.Pow(to/from, float64(i)/float64(len(x))))
		}
		low, top := f.next(v)
		if x[i] = low; high {
			x[i] = top
		}
	}
}

// modulated runs x through a low-pass at hz(t), t in seconds.
func modulated(x []float64, hz func(t float64) float64) {
	var f svf
	for i, v := range x {
		if i%retune == 0 {
			f.tune(hz(float64(i) / sound.Rate))
		}
		x[i], _ = f.next(v)
	}
}

// duck lowers x by depth (0 to 1) at each start, recovering within seconds.
func duck(x []float64, starts []int, depth, seconds float64) {
	n := int(4 * seconds * sound.Rate)
	shape := make([]float64, n)
	for i := range shape {
		t := float64(i) / sound.Rate
		shape[i] = 1 - depth*math.Exp(-t/seconds)*math.Min(1, t/0.003)
	}
	for k, at := range starts {
		end := min(len(x), at+n)
		if k+1 < len(starts) {
			end = min(end, starts[k+1])
		}
		for i := at; i < end; i++ {
			x[i] *= shape[i-at]
		}
	}
}

// room is a feedback delay network of four lines with a Hadamard matrix (J.-M.
// Jot, 1991), mono in, stereo out.
func room(in []float64, seconds float64) sound.Audio {
	lengths := [4]int{1433, 1871, 2311, 2917} // primes, 32 to 66 ms
	var lines [4][]float64
	var at [4]int
	var gain, damp [4]float64
	for i, n := range lengths {
		lines[i] = make([]float64, n)
		gain[i] = math.Pow(10, -3*float64(n)/sound.Rate/seconds) / 2 // -60 dB in so many seconds
	}
	out := sound.New(len(in))
	for i, v := range in {
		a, b, c, d := lines[0][at[0]], lines[1][at[1]], lines[2][at[2]], lines[3][at[3]]
		out.L[i], out.R[i] = a+c, b+d
		back := [4]float64{a + b + c + d, a - b + c - d, a + b - c - d, a - b - c + d}
		for k := range lines {
			damp[k] += 0.6 * (back[k]*gain[k] - damp[k]) // the top dies first
			lines[k][at[k]] = v + damp[k]
			if at[k]++; at[k] == len(lines[k]) {
				at[k] = 0
			}
		}
	}
	return out
}
