package standout

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// way is a move to one side, as it shows in a record of the group. The figures of a
// balance are held against the loudness, and a filter changes the loudness too: what is
// cut in the low end lifts all the rest. By how much follows from the balance of the
// group and the K-weighting; a cut is not the mirror of a boost.
//
// Each is looked for twice. In a mix, which is then mastered to the level that it would
// have had, it leaves the level alone. On a finished master it takes the level with it.
type way struct {
	move     *move
	code     string
	sign     float64
	effect   []float64 // dB of each figure of the predictor for 1 dB of the move
	weights  []float64 // S^-1 effect
	square   float64   // effect' S^-1 effect
	onMaster bool      // made to a finished master
	usual    float64   // how common it is beside all others, 0 to 1
	bands    []int     // of the figures, those that tell plainly how much of it there is
}

// shown is the size in dB of the move that an effect is worked out for: between the
// audible and the gross.
const shown = 5.0

// looseLevel is by how many dB the loudness of a master moves otherwise than the filter
// alone makes it, as a limiter behind it takes part of that back. Between 0 and 1 dB it makes
// little difference to what is found of the defects planted in the fitting half of the bench's
// masters.
const looseLevel = 0.3

// pushed is how much of what a boost on a finished master adds to the level is left behind
// the limiter that keeps its peaks where they were; of a cut all is. Of the even half of the
// bench's masters.
const pushed = 0.25

// weighting is the mean K-weighting in dB (ITU-R BS.1770-5) within the low end (up to
// 160 Hz here), low mids, mids, presence, treble and air of music with the mean spectrum
// of the bench's masters; TestWeightingOfTheFigures works it out again.
var weighting = [subShare]float64{-2.52, -0.10, 1.12, 3.83, 4.04, 4.04}

// loosen leaves the level of all figures open by looseLevel.
func loosen(cov *mat.SymDense, index []int) {
	for i, a := range index {
		for j, b := range index[:i+1] {
			if relative(a) && relative(b) {
				cov.SetSym(i, j, cov.At(i, j)+looseLevel*looseLevel)
			}
		}
	}
}

// allWays lists what is looked for.
func (p *predictor) allWays() []way {
	out := make([]way, 0, 4*len(moves))
	sum := 0.0
	for i := range moves {
		m := &moves[i]
		for _, side := range []struct {
			code      string
			sign      float64
			onMasters float64
		}{{m.thin, -1, 1}, {m.heavy, 1, pushed}} {
			if side.code == "" {
				continue
			}
			for k, level := range []float64{0, side.onMasters} {
				w := p.way(m, side.code, side.sign, level)
				w.onMaster = k == 1
				out = append(out, w)
				sum += m.usual
			}
		}
	}
	for i := range out {
		out[i].usual /= sum
	}
	return out
}

func (p *predictor) way(m *move, code string, sign, level float64) way {
	w := way{move: m, code: code, sign: sign, effect: p.effect(m, sign*shown, level), weights: make([]float64, len(p.index)), usual: m.usual}
	for i, f := range p.index {
		if f != loud && (m.hz <= subHz || varied&(1<<f) == 0) {
			w.bands = append(w.bands, i)
		}
		for j, e := range w.effect {
			w.weights[i] += p.inverse.At(i, j) * e
		}
		w.square += w.weights[i] * w.effect[i]
	}
	return w
}

// effect is what dB of a move do to the figures of a record in the middle of the group,
// a dB of it:
//
//	(e_i dB - L) / dB,  L = 10 log10 (sum k_i p_i 10^(h_i dB / 10) / sum k_i p_i)
//
// e being the move's effect on each figure's power, h that on its weighted power, k the
// weighting, p the power. level is how much of L is left in the level of the record.
func (p *predictor) effect(m *move, dB, level float64) []float64 {
	e := m.effect(dB)
	before, after := 0.0, 0.0
	for f, w := range weighting {
		if power := math.Pow(10, (p.parts[f]+w)/10); power > 0 {
			before += power
			after += power * math.Pow(10, m.loudness(f, dB)*dB/10)
		}
	}
	louder := 0.0
	if before > 0 {
		louder = 10 * math.Log10(after/before)
	}
	out := make([]float64, len(p.index))
	for i, f := range p.index {
		switch f {
		case subShare:
			out[i] = e[f]
		case loud:
			out[i] = level * louder / dB
		default:
			out[i] = e[f] - louder/dB
		}
	}
	return out
}

// amount is how much of a move there is in d, in dB, by generalised least squares, and
// that in standard errors.
//
//	dB = a' V d / a' V a,  t = a' V d / sqrt(a' V a),  V = S^-1
func (w *way) amount(d []float64) (dB, spreads float64) {
	if w.square <= 0 {
		return 0, 0
	}
	ad := w.along(d)
	return ad / w.square, ad / math.Sqrt(w.square)
}

// subHz is up to where a move is one of the sub, which its share and the third octaves tell.
const subHz = 60

// plain is how much of a move there is in d, in dB, as an analyser would show it, by ordinary
// least squares over the bands; the notes of a bass are not in them.
func (w *way) plain(d []float64) float64 {
	ad, aa := 0.0, 0.0
	for _, i := range w.bands {
		ad += w.effect[i] * d[i]
		aa += w.effect[i] * w.effect[i]
	}
	if aa <= 0 {
		return 0
	}
	return ad / aa
}

// along is a' V d.
func (w *way) along(d []float64) (ad float64) {
	for i, v := range w.weights {
		ad += v * d[i]
	}
	return ad
}
