package mp3

import "math"

const butterflies = 8 // a boundary between subbands

// aliasC are the coefficients c of the butterflies (Table B.9).
var aliasC = [butterflies]float64{-0.6, -0.535, -0.33, -0.185, -0.095, -0.041, -0.0142, -0.0037}

// aliasCS and aliasCA are
//
//	cs = 1 / sqrt(1 + c^2)    ca = c / sqrt(1 + c^2)
var aliasCS, aliasCA = makeAlias()

func makeAlias() (cs, ca [butterflies]float32) {
	for i, c := range aliasC {
		cs[i] = float32(1 / math.Sqrt(1+c*c))
		ca[i] = float32(c / math.Sqrt(1+c*c))
	}
	return cs, ca
}

// reduceAlias applies the butterflies across the boundaries of the subbands of
// long windows (clause 2.4.3.4.10.1), i lines from the boundary on each side:
//
//	up' = up cs - down ca    down' = down cs + up ca
//
// up lying below the boundary. Only boundaries below the subband limit are
// touched. It returns the number of subbands that may differ from zero.
func reduceAlias(x *[granuleSamples]float32, lines, limit int) int {
	if lines == 0 {
		return 0
	}
	reach := min((lines+butterflies-1)/slots, limit-1)
	for sb := 1; sb <= reach; sb++ {
		b := (*[2 * butterflies]float32)(x[sb*slots-butterflies:])
		for i := range butterflies {
			up, down := b[butterflies-1-i], b[butterflies+i]
			b[butterflies-1-i] = up*aliasCS[i] - down*aliasCA[i]
			b[butterflies+i] = down*aliasCS[i] + up*aliasCA[i]
		}
	}
	return max((lines+slots-1)/slots, reach+1)
}
