package mp3

// synthesis is the synthesis filter bank of one channel (clause 2.4.3.2.2 and
// Figure A.2). Of a slot's samples s it makes
//
//	V(i) = sum over k of s(k) cos(pi/64 (16 + i) (2k + 1)),   i < 64
//
// and with V of the newest slot and the 15 before it, m = 0 the newest,
//
//	out(j) = sum over m < 16, even, of V_m(j) D(32 m + j)
//	       + sum over m < 16, odd,  of V_m(32 + j) D(32 m + j),   j < 32
//
// The 64 values of V are those of the DCT y(k) of length 32, mirrored:
//
//	V(j) = y(16 + j)       V(32 + j) = -y(16 - j)     0 <= j <= 16, y(32) = 0
//	V(32 - j) = -y(16 + j)     V(64 - j) = -y(16 - j)      0 < j < 16
//
// so that out(j) and out(32-j) use the same two rows of y: 16+j of the even m, 16-j
// of the odd ones. As D is odd about its middle they share the window values too.
type synthesis struct {
	// history holds y by k, by parity of the slot's number, eight slots deep.
	history [32][2][8]float32
	slot    int // number of the next slot, modulo 16
}

// rows are the window values that belong to a j, each twice over, so that eight
// in a row can start anywhere: history is a ring.
type rows struct {
	evenLow, oddLow, evenHigh, oddHigh [16]float32
}

// windowRows are by j, 0 to 16. Low belongs to out(j), high to out(32-j).
var windowRows = makeWindowRows()

func makeWindowRows() (all [17]rows) {
	d := SynthesisWindow()
	for j := range all {
		for i := range 16 {
			m := 64 * ((7 - i) & 7) // place in D of the even slot that is (7-i)%8 back
			r := &all[j]
			r.evenLow[i] = d[m+j]
			r.oddLow[i] = -d[m+32+j]
			if j > 0 {
				r.evenHigh[i] = -d[m+32-j]
				r.oddHigh[i] = -d[m+64-j]
			}
		}
	}
	return all
}

// run turns the slots of a granule into its samples.
func (f *synthesis) run(in *slotBlock, out *[granuleSamples]float32) {
	var y [32]float32
	for t := range slots {
		dct32(in.slot(t), &y)
		parity, place := f.slot&1, f.slot>>1
		for k := range y {
			f.history[k][parity][place] = y[k]
		}
		f.window(parity, place, (*[32]float32)(out[t*subbands:]))
		f.slot = (f.slot + 1) & 15
	}
}

// window makes the samples of the slot that has just been put at place.
func (f *synthesis) window(parity, place int, out *[32]float32) {
	// The odd slots, those of the other parity, were written last at place-1
	// or, if this slot's parity is the second, at place.
	last := (place + parity + 7) & 7
	even, odd := 7-place, 7-last
	for j := 1; j < 16; j++ {
		r := &windowRows[j]
		u := &f.history[16+j][parity]
		v := &f.history[16-j][1-parity]
		a := (*[8]float32)(r.evenLow[even:])
		b := (*[8]float32)(r.oddLow[odd:])
		c := (*[8]float32)(r.evenHigh[even:])
		d := (*[8]float32)(r.oddHigh[odd:])
		var low0, low1, high0, high1 float32
		for i := range 8 {
			low0 += u[i] * a[i]
			low1 += v[i] * b[i]
			high0 += u[i] * c[i]
			high1 += v[i] * d[i]
		}
		out[j] = low0 + low1
		out[32-j] = high0 + high1
	}
	f.ends(parity, even, odd, out)
}

// ends makes samples 0 and 16, which have no partner.
func (f *synthesis) ends(parity, even, odd int, out *[32]float32) {
	r0, r16 := &windowRows[0], &windowRows[16]
	u := &f.history[16][parity]
	v := &f.history[16][1-parity]
	z := &f.history[0][1-parity]
	a := (*[8]float32)(r0.evenLow[even:])
	b := (*[8]float32)(r0.oddLow[odd:])
	c := (*[8]float32)(r16.oddLow[odd:])
	var first, middle float32
	for i := range 8 {
		first += u[i]*a[i] + v[i]*b[i]
		middle += z[i] * c[i]
	}
	out[0], out[16] = first, middle
}
