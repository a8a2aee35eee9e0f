package continuity

const (
	// seenAround samples before a cell are what the second differences in it are held
	// against, and seenBeside how far beside the cell an edit is looked for.
	seenAround, seenBeside = 32, 4
	// flipBetter is how many times less, in power, the second differences over a place must
	// be with the sign of the difference of the channels changed. At 6 two places a
	// second pass of 350, and 51 of 78 edges planted in 39 masters used for fitting are found;
	// at 4 six and 54. changeBetter is the same of a channel with the gain that fits best, changeHolds
	// what those of the other channel may have there of what they have before.
	flipBetter, changeBetter = 6.0, 5.0
	changeHolds              = 4.0
	// seenSilent is added to the power of the second differences, -100 dB of full scale.
	seenSilent = 1e-10
	// seenLeast and seenMost bound the gain that is looked for, or its inverse: wider than
	// what is named, as two second differences tell it badly.
	seenLeast, seenMost = 0.35, 0.92
)

// seen holds the samples around a cell.
type seen struct {
	y [seenAround + 2 + maxCell + seenBeside + 1]float32
}

// maxCell is the greatest length of a cell, in samples.
const maxCell = 1 << 10

// worth tells whether the cell of n samples at place i may have an edit, as far as second
// differences show: all but what is no edit at all passes.
func (s *seen) worth(l, r []float32, i, n int, all bool) bool {
	from, to := i-seenAround-2, i+n+seenBeside+1
	if from < 0 || to > len(l) {
		return false
	}
	l, r = l[from:to], r[from:to]
	y := s.y[:len(l)]
	for k, v := range l {
		y[k] = v - r[k]
	}
	return flips(y) || all && (changes(l, r) || changes(r, l))
}

// around is the power of the second differences of the first samples, of two of them.
func around(y []float32) float32 {
	a, b, sum := y[0], y[1], float32(0)
	for _, v := range y[2 : seenAround+2] {
		d := v - 2*b + a
		sum += d * d
		a, b = b, v
	}
	return 2*sum/seenAround + seenSilent
}

// flips tells whether y changes its sign: over the edge before sample k the second
// differences are small with the sign and not without it.
//
//	without: y[k] - 2 y[k-1] + y[k-2] and y[k+1] - 2 y[k] + y[k-1]
//	with:   -y[k] - 2 y[k-1] + y[k-2] and -y[k+1] + 2 y[k] + y[k-1]
func flips(y []float32) bool {
	least := flipBetter * around(y)
	const first = seenAround + 2 - seenBeside
	a, b := y[first-1], y[first]
	d := b - 2*a + y[first-2]
	for _, next := range y[first+1:] {
		slope := next - 2*b
		e := slope + a
		if p := d*d + e*e; p >= least { // else it is not even without the sign
			if f, g := d-2*b, e-2*slope; p >= flipBetter*(f*f+g*g)+least {
				return true
			}
		}
		a, b, d = b, next, e
	}
	return false
}

// changes tells whether y goes on with another gain while the other channel goes on as it
// was. With the inverse q of the gain its
// second differences over an edge before sample k are
//
//	b1 + q a1 and b2 + q a2, a = (y[k], y[k+1] - 2 y[k]), b = (y[k-2] - 2 y[k-1], y[k-1])
//
// and least, in power, where q = -(a b) / (a a).
func changes(y, other []float32) bool {
	least, most := changeBetter*around(y), changeHolds*around(other)
	other = other[:len(y)]
	for k := seenAround + 2 - seenBeside; k+1 < len(y); k++ {
		a, c := y[k], y[k+1]-2*y[k]
		b, d := y[k-2]-2*y[k-1], y[k-1]
		p := (a+b)*(a+b) + (c+d)*(c+d)
		if p < least {
			continue
		}
		f, g := other[k]-2*other[k-1]+other[k-2], other[k+1]-2*other[k]+other[k-1]
		if f*f+g*g > most {
			continue
		}
		aa, ab := a*a+c*c, a*b+c*d
		if q := -ab / aa; edited(q) && p >= changeBetter*(b*b+d*d-ab*ab/aa)+least {
			return true
		}
	}
	return false
}

// edited tells whether the gain may be one of an edit.
func edited(q float32) bool {
	return q >= seenLeast && q <= seenMost || q >= 1/seenMost && q <= 1/seenLeast || q <= 1/turnedFrom && q >= turnedFrom
}
