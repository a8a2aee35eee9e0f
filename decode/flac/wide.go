package flac

// fixedCoefficients are those of the fixed predictors, the one for the latest
// sample first.
var fixedCoefficients = [5][]int64{{}, {1}, {2, -1}, {3, -3, 1}, {4, -6, 4, -1}}

// wideSubframe decodes the side channel of 32-bit stereo, whose 33 bits an int32
// does not hold, into f.wide. Such files are rare: this is plain, not fast.
func (f *decoder) wideSubframe(block int, depth uint) problem {
	k, p := f.subHeader(depth)
	if p != noProblem {
		return p
	}
	if cap(f.wide) < block {
		f.wide, f.residual = make([]int64, block), make([]int32, block)
	}
	out, r := f.wide[:block], &f.bits
	depth -= k.wasted
	switch {
	case k.kind == kindConstant:
		v := r.signed(depth)
		for i := range out {
			out[i] = v
		}
	case k.kind == kindVerbatim:
		for i := range out {
			out[i] = r.signed(depth)
		}
	default:
		if p := f.widePredicted(out, k, depth); p != noProblem {
			return p
		}
	}
	for i := range out {
		out[i] <<= k.wasted
	}
	return noProblem
}

func (f *decoder) widePredicted(out []int64, k subHeader, depth uint) problem {
	order := k.order()
	if order > len(out) {
		return badPredict
	}
	for i := range out[:order] {
		out[i] = f.bits.signed(depth)
	}
	var own [maxOrder]int64
	coef, shift := own[:order], uint(0)
	if k.fixed() {
		coef = fixedCoefficients[order]
	} else {
		var p problem
		if shift, p = f.coefficients(coef); p != noProblem {
			return p
		}
	}
	residual := f.residual[:len(out)]
	if p := f.residuals(residual, order); p != noProblem {
		return p
	}
	for i := order; i < len(out); i++ {
		var sum int64
		for j, c := range coef {
			sum += c * out[i-1-j]
		}
		out[i] = int64(residual[i]) + sum>>shift
	}
	return noProblem
}
