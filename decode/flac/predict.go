package flac

// predictFixed adds the prediction of a fixed polynomial, RFC 9639 section 9.2.5,
// to the residuals that s holds behind its first order samples.
//
//	order 1: s1    2: 2·s1 - s2    3: 3·s1 - 3·s2 + s3    4: 4·s1 - 6·s2 + 4·s3 - s4
func predictFixed(s []int32, order int) {
	switch order {
	case 1:
		for i := 1; i < len(s); i++ {
			s[i] += s[i-1]
		}
	case 2:
		for i := 2; i < len(s); i++ {
			s[i] += 2*s[i-1] - s[i-2]
		}
	case 3:
		for i := 3; i < len(s); i++ {
			s[i] += 3*(s[i-1]-s[i-2]) + s[i-3]
		}
	case 4:
		for i := 4; i < len(s); i++ {
			s[i] += 4*(s[i-1]+s[i-3]) - 6*s[i-2] - s[i-4]
		}
	}
}

// predict adds a linear prediction to the residuals that s holds behind its first
// len(coef) samples.
//
//	s[i] += (sum over j of coef[j]·s[i-1-j]) >> shift
//
// The sums are done for a few fixed lengths, the coefficients padded with zeros.
func predict(s []int32, coef []int64, shift uint) {
	order := len(coef)
	var width int
	for _, width = range []int{4, 8, 12, 16, maxOrder} {
		if order <= width {
			break
		}
	}
	start := min(max(width, order), len(s))
	predictPlain(s[:start], coef, shift)
	var c [maxOrder]int64 // the one for the earliest sample first
	for j, v := range coef {
		c[width-1-j] = v
	}
	switch width {
	case 4:
		predict4(s, (*[4]int64)(c[:]), shift)
	case 8:
		predict8(s, (*[8]int64)(c[:]), shift)
	case 12:
		predict12(s, (*[12]int64)(c[:]), shift)
	case 16:
		predict16(s, (*[16]int64)(c[:]), shift)
	default:
		predict32(s, &c, shift)
	}
}

func predictPlain(s []int32, coef []int64, shift uint) {
	for i := len(coef); i < len(s); i++ {
		var sum int64
		for j, c := range coef {
			sum += c * int64(s[i-1-j])
		}
		s[i] += int32(sum >> shift)
	}
}

func predict4(s []int32, c *[4]int64, shift uint) {
	for i := 4; i < len(s); i++ {
		h := (*[4]int32)(s[i-4:])
		sum := c[0]*int64(h[0]) + c[1]*int64(h[1]) + c[2]*int64(h[2]) + c[3]*int64(h[3])
		s[i] += int32(sum >> (shift & 31))
	}
}

func predict8(s []int32, c *[8]int64, shift uint) {
	for i := 8; i < len(s); i++ {
		h := (*[8]int32)(s[i-8:])
		a := c[0]*int64(h[0]) + c[1]*int64(h[1]) + c[2]*int64(h[2]) + c[3]*int64(h[3])
		b := c[4]*int64(h[4]) + c[5]*int64(h[5]) + c[6]*int64(h[6]) + c[7]*int64(h[7])
		s[i] += int32((a + b) >> (shift & 31))
	}
}

func predict12(s []int32, c *[12]int64, shift uint) {
	for i := 12; i < len(s); i++ {
		h := (*[12]int32)(s[i-12:])
		a := c[0]*int64(h[0]) + c[1]*int64(h[1]) + c[2]*int64(h[2]) + c[3]*int64(h[3])
		b := c[4]*int64(h[4]) + c[5]*int64(h[5]) + c[6]*int64(h[6]) + c[7]*int64(h[7])
		a += c[8]*int64(h[8]) + c[9]*int64(h[9]) + c[10]*int64(h[10]) + c[11]*int64(h[11])
		s[i] += int32((a + b) >> (shift & 31))
	}
}

func predict16(s []int32, c *[16]int64, shift uint) {
	for i := 16; i < len(s); i++ {
		h := (*[16]int32)(s[i-16:])
		var a, b int64
		for j := range 8 {
			a += c[j] * int64(h[j])
			b += c[j+8] * int64(h[j+8])
		}
		s[i] += int32((a + b) >> (shift & 31))
	}
}

func predict32(s []int32, c *[32]int64, shift uint) {
	for i := 32; i < len(s); i++ {
		h := (*[32]int32)(s[i-32:])
		var a, b int64
		for j := range 16 {
			a += c[j] * int64(h[j])
			b += c[j+16] * int64(h[j+16])
		}
		s[i] += int32((a + b) >> (shift & 31))
	}
}
