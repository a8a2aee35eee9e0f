package key

import (
	"math"
	"math/rand/v2"
)

// drumKit is the drums of one piece of the yardstick, tuned without regard to its key.
type drumKit struct {
	kickHz, kickBend, kickDecay float64 // where the glide ends and how far it begins above; 1/s
	tomHz, tomDecay             float64
	snareHz                     float64
	toms                        bool
}

func newDrumKit(rnd *rand.Rand) drumKit {
	return drumKit{
		kickHz: between(rnd, 40, 62), kickBend: between(rnd, 80, 300), kickDecay: between(rnd, 4, 14),
		tomHz: between(rnd, 75, 160), tomDecay: between(rnd, 6, 14), snareHz: between(rnd, 160, 250),
		toms: rnd.Float64() < 0.5,
	}
}

// hits is one of three patterns for so many bars.
func (k drumKit) hits(rnd *rand.Rand, bars int) (d []hit) {
	switch rnd.IntN(3) {
	case 0:
		d = fourOnTheFloor(bars)
	case 1:
		d = breakbeat(bars)
	default: // rock: kick on one and three, snare on two and four, hats in eighths
		for i := range 8 * bars {
			d = append(d, hit{float64(i) / 2, 'h'})
			if i%2 == 0 {
				d = append(d, hit{float64(i) / 2, "ks"[i/2%2]})
			}
		}
	}
	if k.toms {
		for b := range bars {
			for _, at := range []float64{0.75, 2.25, 3.5, 3.75} {
				d = append(d, hit{float64(4*b) + at, 't'})
			}
		}
	}
	return d
}

// part renders the drums to n samples; of each there are two takes.
func (k drumKit) part(rnd *rand.Rand, hits []hit, bpm float64, n, rate int) []float64 {
	out := make([]float64, n)
	takes := map[byte][2][]float64{}
	for _, what := range []byte("ktsh") {
		two := [2][]float64{make([]float64, rate/2), make([]float64, rate/2)}
		k.strike(rnd, what, 1, two[0], float64(rate))
		k.strike(rnd, what, 1.5, two[1], float64(rate))
		takes[what] = two
	}
	for _, h := range hits {
		if from := int(h.at * 60 / bpm * float64(rate)); from < n {
			for i, v := range takes[h.what][rnd.IntN(2)][:min(rate/2, n-from)] {
				out[from+i] += v
			}
		}
	}
	level(out, 0.2)
	return out
}

// strike renders one stroke; a tom is so many times higher.
func (k drumKit) strike(rnd *rand.Rand, what byte, up float64, dst []float64, rate float64) {
	phase, last := 0.0, 0.0
	tone := func(hz float64) float64 {
		phase += hz / rate
		return math.Sin(2 * math.Pi * phase)
	}
	for i := range dst {
		x, noise := float64(i)/rate, rnd.NormFloat64()
		switch what {
		case 'k':
			dst[i] += 0.9*math.Exp(-x*k.kickDecay)*tone(k.kickHz+k.kickBend*math.Exp(-x*35)) + 0.3*math.Exp(-x*300)*noise
		case 't':
			dst[i] += 0.5 * math.Exp(-x*k.tomDecay) * tone(up*(k.tomHz+0.4*k.tomHz*math.Exp(-x*15)))
		case 's':
			dst[i] += 0.3*math.Exp(-x*16)*noise + 0.35*math.Exp(-x*25)*tone(k.snareHz)
		case 'h':
			dst[i] += 0.2 * math.Exp(-x*50) * (noise - last)
			last = noise
		}
	}
}
