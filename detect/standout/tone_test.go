package standout

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"dubgauge/detect/balance"
	"dubgauge/detect/spectrum"
)

// everyFigure by which a tone with third octaves is judged, and coarseFigures by which one
// without is.
const (
	everyFigure   = mask(1<<tones-1) &^ coarse
	coarseFigures = mask(1<<firstThird - 1)
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

// filters are those of the moves, in their order.
var filters = []struct {
	h  func(s complex128, dB, q float64) complex128
	hz float64
	q  float64
}{{lowShelf, 100, math.Sqrt2 / 2}, {highShelf, 8000, math.Sqrt2 / 2}, {bell, 3500, 0.7}, {bell, 350, 0.7},
	{lowShelf, 60, math.Sqrt2 / 2}, {highShelf, 1200, math.Sqrt2 / 2}, {bell, 800, 0.7}}

// The effects in the table are those of 5 dB of the filters, down and up, on music with
// the mean spectrum, a dB of them.
func TestMovesAreWhatFiltersDo(t *testing.T) {
	const tolerance = 0.02
	for i, f := range filters {
		for _, dB := range []float64{-5, 5} {
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
			for k, b := range figureBands {
				want[k] = change(b[0], b[1])
			}
			want[subShare] = change(0, 4) - change(5, 8)
			for k, b := range balance.Thirds {
				want[firstThird+k] = change(b, b)
			}
			for k, got := range moves[i].effect(dB) {
				if math.Abs(got-want[k]) > tolerance {
					t.Errorf("%s, %g dB, figure %d: %.2f, the filter does %.2f", moves[i].heavy, dB, k, got, want[k])
				}
			}
		}
		if moves[i].hz != f.hz {
			t.Errorf("%s is said to be at %g Hz, not %g", moves[i].heavy, moves[i].hz, f.hz)
		}
	}
}

// figureBands are the first and last third octave of each figure (package balance).
var figureBands = [subShare][2]int{{0, 8}, {10, 14}, {15, 20}, {21, 24}, {25, 27}, {28, 29}}

// weighed is the K-weighting at f in power, by the coefficients of ITU-R BS.1770-5, annex 1,
// tables 1 and 2, for 48 kHz.
func weighed(f float64) float64 {
	z := cmplx.Exp(complex(0, -2*math.Pi*f/48000))
	stage := func(b0, b1, b2, a1, a2 complex128) float64 {
		return cmplx.Abs((b0 + b1*z + b2*z*z) / (1 + a1*z + a2*z*z))
	}
	h := stage(1.53512485958697, -2.69169618940638, 1.19839281085285, -1.69065929318241, 0.73248077421585) *
		stage(1, -2, 1, -1.99004745483398, 0.99007225036621)
	return h * h
}

// lowHeard is the third octave at 160 Hz, which no figure has.
const lowHeard = 9

// The loudness of the low end changes as the standard's weighting says.
func TestWhatIsHeardOfMoves(t *testing.T) {
	for i, f := range filters {
		for side, dB := range []float64{-5, 5} {
			before, after := 0.0, 0.0
			for b := range lowHeard + 1 {
				hz := spectrum.Exact(b)
				p, g := math.Pow(10, meanSpectrum[b]/10)*weighed(hz), cmplx.Abs(f.h(complex(0, hz/f.hz), dB, f.q))
				before += p
				after += p * g * g
			}
			if want := 10 * math.Log10(after/before) / dB; math.Abs(moves[i].heard[side]-want) > 0.01 {
				t.Errorf("%s, %g dB: %.2f, the filter does %.2f", moves[i].heavy, dB, moves[i].heard[side], want)
			}
		}
	}
}

func TestWeightingOfTheFigures(t *testing.T) {
	for k, b := range figureBands {
		plain, with := 0.0, 0.0
		for i := b[0]; i <= b[1]; i++ {
			p := math.Pow(10, meanSpectrum[i]/10)
			plain += p
			with += p * weighed(spectrum.Exact(i))
		}
		if k == 0 { // with the third octave between it and the next
			with += math.Pow(10, meanSpectrum[lowHeard]/10) * weighed(spectrum.Exact(lowHeard))
		}
		if want := 10 * math.Log10(with/plain); math.Abs(weighting[k]-want) > 0.02 {
			t.Errorf("figure %d: %.2f dB, by the standard %.2f", k, weighting[k], want)
		}
	}
}

// filtered is the balance of music with the mean spectrum, against its loudness, before
// and behind a filter, and by how much it is louder there: all figures by third octaves, the
// loudness by the standard's weighting.
func filtered(h func(s complex128, dB, q float64) complex128, hz, dB, q float64) (before, after tone, by float64) {
	var p, g [spectrum.Bands]float64
	loud, louder := 0.0, 0.0
	for i := range p {
		f := spectrum.Exact(i)
		a := cmplx.Abs(h(complex(0, f/hz), dB, q))
		p[i] = math.Pow(10, meanSpectrum[i]/10)
		g[i] = p[i] * a * a
		loud += p[i] * weighed(f)
		louder += g[i] * weighed(f)
	}
	level := func(p *[spectrum.Bands]float64, first, last int) float64 {
		sum := 0.0
		for _, v := range p[first : last+1] {
			sum += v
		}
		return 10 * math.Log10(sum)
	}
	for k, b := range figureBands {
		before[k] = level(&p, b[0], b[1]) - 10*math.Log10(loud)
		after[k] = level(&g, b[0], b[1]) - 10*math.Log10(louder)
	}
	for k, b := range balance.Thirds {
		before[firstThird+k] = level(&p, b, b) - 10*math.Log10(loud)
		after[firstThird+k] = level(&g, b, b) - 10*math.Log10(louder)
	}
	before[subShare] = level(&p, 0, 4) - level(&p, 5, 8)
	after[subShare] = level(&g, 0, 4) - level(&g, 5, 8)
	return before, after, 10 * math.Log10(louder/loud)
}

// What a filter does to a record comes out in dB and under its name, with few references
// and with many: exact at 5 dB but for the rounding of the table and the gaps between the
// figures, within 0.6 dB at 3 and at 6 dB, where the straight line leaves so much: a shelf of
// another size has another shape, which the third octaves see.
// Each move is looked for first as in a mix, then as on a finished master.
func TestAmount(t *testing.T) {
	for n, figures := range map[int]mask{1: everyFigure, 5: coarseFigures, 40: everyFigure, 41: coarseFigures} {
		for i, f := range filters {
			for dB, tolerance := range map[float64]float64{-6: 0.6, -5: 0.25, -3: 0.6, 3: 0.6, 5: 0.25, 6: 0.6} {
				before, after, louder := filtered(f.h, f.hz, dB, f.q)
				refs := make([]tone, n)
				for i := range refs {
					refs[i] = before
				}
				p, ok := predict(refs, nil, figures.index(), 0)
				if !ok {
					t.Fatal("no prediction")
				}
				d := make([]float64, len(p.index))
				for k := range p.ways {
					w := &p.ways[k]
					if w.move != &moves[i] || w.sign*dB < 0 {
						continue
					}
					after[loud] = 0
					if k%2 == 1 {
						after[loud] = map[bool]float64{true: 1, false: pushed}[dB < 0] * louder
					}
					p.from(after, d)
					if got, spreads := w.amount(d); math.Abs(got-dB) > tolerance || spreads*dB <= 0 {
						t.Errorf("%d references, %s: %.2f dB, %.2f spreads, planted %g", n, w.code, got, spreads, dB)
					}
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
			p, _ := predict(refs, nil, everyFigure.index(), 0)
			d := make([]float64, len(p.index))
			p.from((&Track{Balance: drawn(r, 1)}).tone(), d)
			if _, spreads := p.ways[0].amount(d); math.Abs(spreads) > cutoff(chance/2, p.dof) {
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

// amount is generalised least squares: the same from the normal equations, and from
// drawn errors, whose root mean square is one standard error.
func TestAmountAgainstNormalEquations(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	refs := make([]tone, 12)
	for i := range refs {
		refs[i] = (&Track{Balance: drawn(r, 1)}).tone()
	}
	p, _ := predict(refs, nil, everyFigure.index(), 0)
	x := (&Track{Balance: drawn(r, 1)}).tone()
	d := make([]float64, len(p.index))
	p.from(x, d)
	for k := range p.ways {
		w := &p.ways[k]
		design := mat.NewDense(len(d), 1, w.effect)
		var vx, xvx, xvd mat.Dense
		vx.Mul(&p.inverse, design)
		xvx.Mul(design.T(), &vx)
		xvd.Mul(vx.T(), mat.NewDense(len(d), 1, d))
		want := xvd.At(0, 0) / xvx.At(0, 0)
		dB, spreads := w.amount(d)
		if math.Abs(dB-want) > 1e-9 || math.Abs(spreads-want*math.Sqrt(xvx.At(0, 0))) > 1e-9 {
			t.Errorf("%s: %.6f dB, %.6f spreads, want %.6f", w.code, dB, spreads, want)
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
	clean, _ := predict(refs, nil, everyFigure.index(), 0)
	refs[0] = tone{20, -40, -40, -40, -40, -40, 12}
	spoilt, _ := predict(refs, nil, everyFigure.index(), 0)
	for k := range clean.centre {
		if off, mean := math.Abs(spoilt.centre[k]-clean.centre[k]), 20/15.0; off > mean {
			t.Errorf("figure %d moved by %.2f dB", k, off)
		}
	}
}

// What is left open is the level of all figures together, and not the share of the sub.
func TestLoosen(t *testing.T) {
	cov := mat.NewSymDense(3, []float64{1, 0, 0, 0, 1, 0, 0, 0, 1})
	loosen(cov, []int{0, 2, subShare})
	const more = looseLevel * looseLevel
	want := mat.NewSymDense(3, []float64{1 + more, more, 0, more, 1 + more, 0, 0, 0, 1})
	if !mat.EqualApprox(cov, want, 1e-12) {
		t.Errorf("%v, want %v", mat.Formatted(cov), mat.Formatted(want))
	}
}
