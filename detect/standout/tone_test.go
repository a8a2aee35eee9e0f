package standout

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/spectrum"
)

// meanSpectrum is the mean level by third octave, 20 Hz to 20 kHz, of the loudest 30 s
// of the bench's masters, dB against their loudness.
var meanSpectrum = [spectrum.Bands]float64{-37.1, -29.4, -17.6, -9.6, -5.2, -7.1, -10.7, -10.2, -12.4, -13.2, -13.1, -12.6,
	-12.6, -13.7, -13.2, -13.6, -14.3, -15.2, -16.1, -16.5, -17.6, -18.4, -19.5, -20.1, -20.2, -19.9, -19.7, -20.1, -21.4, -23.8, -31.4}

// Analogue prototypes of the Audio EQ Cookbook (R. Bristow-Johnson; W3C note, 2021), H at
// s = j f/f0, A = 10^(dB/40).
func lowShelf(s complex128, dB, q float64) complex128 {
	a := complex(math.Pow(10, dB/40), 0)
	k := cmplx.Sqrt(a) / complex(q, 0)
	return a * (s*s + k*s + a) / (a*s*s + k*s + 1)
}

func highShelf(s complex128, dB, q float64) complex128 { return lowShelf(1/s, dB, q) }

func bell(s complex128, dB, q float64) complex128 {
	a := complex(math.Pow(10, dB/40), 0)
	return (s*s + s*a/complex(q, 0) + 1) / (s*s + s/(a*complex(q, 0)) + 1)
}

// The effects in the table are those of 6 dB of the filters on music with the mean
// spectrum, a dB of them.
func TestMovesAreWhatFiltersDo(t *testing.T) {
	const dB, tolerance = 6, 0.02
	filters := []struct {
		h  func(s complex128, dB, q float64) complex128
		hz float64
		q  float64
	}{{lowShelf, 100, math.Sqrt2 / 2}, {highShelf, 8000, math.Sqrt2 / 2}, {bell, 3500, 0.7}, {bell, 350, 0.7},
		{lowShelf, 60, math.Sqrt2 / 2}, {highShelf, 1200, math.Sqrt2 / 2}}
	bands := [][2]int{{0, 8}, {10, 14}, {15, 20}, {21, 24}, {25, 27}, {28, 29}} // package balance
	for i, f := range filters {
		change := func(first, last int) float64 {
			before, after := 0.0, 0.0
			for b := first; b <= last; b++ {
				p, g := math.Pow(10, meanSpectrum[b]/10), cmplx.Abs(f.h(complex(0, spectrum.Exact(b)/f.hz), dB, f.q))
				before += p
				after += p * g * g
			}
			return 10 * math.Log10(after/before) / dB
		}
		var want tone
		for k, b := range bands {
			want[k] = change(b[0], b[1])
		}
		want[subShare] = change(0, 4) - change(5, 8)
		for k := range want {
			if math.Abs(moves[i].effect[k]-want[k]) > tolerance {
				t.Errorf("%s, figure %d: %.2f, the filter does %.2f", moves[i].heavy, k, moves[i].effect[k], want[k])
			}
		}
		if moves[i].hz != f.hz {
			t.Errorf("%s is said to be at %g Hz, not %g", moves[i].heavy, moves[i].hz, f.hz)
		}
	}
}

// What is planted in a track comes out in dB, with few references and with many, and
// whatever the track's level.
func TestAmount(t *testing.T) {
	for _, n := range []int{1, 5, 40} {
		refs := make([]tone, n)
		for i := range refs {
			refs[i] = tone{-1, -7, -8, -14, -16, -21, -1}
		}
		p, ok := predict(refs, mask(127).index())
		if !ok {
			t.Fatal("no prediction")
		}
		for _, m := range moves {
			for _, dB := range []float64{-6, 3} {
				x := refs[0]
				for k := range x {
					if x[k] += dB * m.effect[k]; k != subShare {
						x[k] += 2.5 // louder as a whole
					}
				}
				d := make([]float64, tones)
				p.from(x, d)
				if got, spreads := p.amount(d, m.effect); math.Abs(got-dB) > 1e-9 || spreads*dB <= 0 {
					t.Errorf("%d references, %s: %.3f dB, %.2f spreads, planted %g", n, m.heavy, got, spreads, dB)
				}
			}
		}
	}
}

// Among masters drawn from the prior, a move is past the cut-off of a chance as often as
// the chance says, with few references and with many. Tolerance: three standard errors,
// and a fifth, as the dof of the prior are an approximation.
func TestMovesKeepTheirChance(t *testing.T) {
	const trials, chance = 6000, 0.05
	for _, n := range []int{5, 15, 60} {
		r := rand.New(rand.NewPCG(11, uint64(n)))
		past := 0
		for range trials {
			refs := make([]tone, n)
			for i := range refs {
				b := drawn(r, 1)
				refs[i] = (&Track{Balance: b}).tone()
			}
			p, _ := predict(refs, mask(127).index())
			d := make([]float64, tones)
			p.from((&Track{Balance: drawn(r, 1)}).tone(), d)
			if _, spreads := p.amount(d, moves[0].effect); math.Abs(spreads) > cutoff(chance, p.dof) {
				past++
			}
		}
		share := float64(past) / trials
		if limit := 3 * math.Sqrt(chance*(1-chance)/trials); math.Abs(share-chance) > limit+chance/5 {
			t.Errorf("%d references: %.2f %% past the cut-off of %g %%", n, 100*share, 100*chance)
		}
		t.Logf("%d references: %.2f %%", n, 100*share)
	}
}

// amount is generalised least squares with a free level: the same from the normal
// equations of both unknowns at once.
func TestAmountAgainstNormalEquations(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	refs := make([]tone, 12)
	for i := range refs {
		refs[i] = (&Track{Balance: drawn(r, 1)}).tone()
	}
	p, _ := predict(refs, mask(127).index())
	x := (&Track{Balance: drawn(r, 1)}).tone()
	d := make([]float64, tones)
	p.from(x, d)
	for _, m := range moves {
		design := mat.NewDense(tones, 2, nil)
		for k := range tones {
			design.Set(k, 0, m.effect[k])
			if k != subShare {
				design.Set(k, 1, 1)
			}
		}
		var vx, xvx, xvd, solved mat.Dense
		vx.Mul(&p.inverse, design)
		xvx.Mul(design.T(), &vx)
		xvd.Mul(vx.T(), mat.NewDense(tones, 1, d))
		if err := solved.Solve(&xvx, &xvd); err != nil {
			t.Fatal(err)
		}
		var inverse mat.Dense
		if err := inverse.Inverse(&xvx); err != nil {
			t.Fatal(err)
		}
		dB, spreads := p.amount(d, m.effect)
		if want := solved.At(0, 0); math.Abs(dB-want) > 1e-9 || math.Abs(spreads-want/math.Sqrt(inverse.At(0, 0))) > 1e-9 {
			t.Errorf("%s: %.6f dB, %.6f spreads, want %.6f, %.6f", m.heavy, dB, spreads, want, want/math.Sqrt(inverse.At(0, 0)))
		}
	}
}

// A reference of another world moves the centre less than it would move a mean.
func TestFarReferencesCountLess(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	refs := make([]tone, 15)
	for i := range refs {
		refs[i] = (&Track{Balance: drawn(r, 1)}).tone()
	}
	clean, _ := predict(refs, mask(127).index())
	refs[0] = tone{20, -40, -40, -40, -40, -40, 12}
	spoilt, _ := predict(refs, mask(127).index())
	for k := range clean.centre {
		if off, mean := math.Abs(spoilt.centre[k]-clean.centre[k]), 20/15.0; off > mean {
			t.Errorf("figure %d moved by %.2f dB", k, off)
		}
	}
}
