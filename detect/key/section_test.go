package key

import (
	"math"
	"testing"
)

// powered are moments of one frame, levels[band][i] in decibels.
func powered(levels [bandCount][]float64) []moment {
	m := make([]moment, len(levels[0]))
	for i := range m {
		m[i].frames = 1
		for b := range levels {
			m[i].power[b] = float32(math.Pow(10, levels[b][i]/10))
		}
	}
	return m
}

// stepsOf holds levels for so many moments each.
func stepsOf(pairs ...float64) (v []float64) {
	for i := 0; i < len(pairs); i += 2 {
		for range int(pairs[i]) {
			v = append(v, pairs[i+1])
		}
	}
	return v
}

// By hand, with two moments beside: bands of 8 and 6 dB are 10; three, of 10, 5 and 30, which
// counts 12, are the root of 269; 5.9 and 1 are too little, as are 12 of one band and 1.4 of
// another. A band of 50 dB under its loudest moment is as one of 40.
func TestSteps(t *testing.T) {
	flat := stepsOf(24, 0)
	for _, c := range []struct {
		name   string
		levels [bandCount][]float64
		want   map[int]float64
	}{
		{"none", [bandCount][]float64{flat, flat, flat, flat}, nil},
		{"a layer", [bandCount][]float64{stepsOf(9, -8, 15, 0), stepsOf(9, -6, 15, 0), flat, flat}, map[int]float64{9: 10}},
		{"one goes", [bandCount][]float64{flat, flat, stepsOf(15, 0, 9, -6), stepsOf(15, 0, 9, 2)}, map[int]float64{15: math.Sqrt(40)}},
		{"too little", [bandCount][]float64{stepsOf(9, -5.9, 15, 0), stepsOf(9, -1, 15, 0), flat, flat}, nil},
		{"one band alone", [bandCount][]float64{stepsOf(9, -12, 15, 0), flat, flat, stepsOf(9, -1.4, 15, 0)}, nil},
		{"and hardly a second", [bandCount][]float64{stepsOf(9, -1.6, 15, 0), stepsOf(9, 0, 15, -8), flat, flat}, map[int]float64{9: math.Hypot(1.6, 8)}},
		{"three layers", [bandCount][]float64{stepsOf(9, -10, 15, 0), stepsOf(9, 0, 15, -5), stepsOf(9, -30, 15, 0), flat}, map[int]float64{9: math.Sqrt(269)}},
		{"two sections", [bandCount][]float64{stepsOf(6, -8, 8, 0, 10, -6), flat, flat, stepsOf(6, 6, 8, 0, 10, -8)}, map[int]float64{6: 10, 14: 10}},
		{"the greater of two that are near", [bandCount][]float64{stepsOf(9, -9, 15, 0), stepsOf(10, -11, 14, 0), flat, flat}, map[int]float64{10: math.Hypot(11, 4.5)}},
		{"under the floor", [bandCount][]float64{stepsOf(5, -50, 5, -41, 14, 0), stepsOf(10, -5, 14, 0), flat, flat}, map[int]float64{10: 13}},
		{"a tail", [bandCount][]float64{stepsOf(20, 0, 4, -40), stepsOf(20, 0, 4, -40), stepsOf(20, 0, 4, -40), stepsOf(20, 0, 4, -40)}, nil},
		{"from silence", [bandCount][]float64{stepsOf(4, -40, 20, 0), stepsOf(4, -40, 20, 0), stepsOf(4, -40, 20, 0), stepsOf(4, -40, 20, 0)}, nil},
		{"from a soft start", [bandCount][]float64{stepsOf(4, -20, 20, 0), stepsOf(4, -5, 20, 0), flat, flat}, map[int]float64{4: 13}},
	} {
		got := steps(powered(c.levels), 2)
		for i, v := range got {
			want := max(c.want[i]-6, 0)  // what exceeds leastStep
			if math.Abs(v-want) > 1e-5 { // moments hold 32 bits
				t.Errorf("%s: %.4f at %d, want %.4f", c.name, v, i, want)
			}
		}
	}
	if got := steps(nil, 2); len(got) != 0 {
		t.Error("of nothing there are none")
	}
	for i, v := range steps(make([]moment, 9), 2) { // without frames
		if v != 0 {
			t.Errorf("silence steps at %d", i)
		}
	}
}

// Of equals the first leads, up to so many places away.
func TestLeads(t *testing.T) {
	all := []float64{3, 1, 2, 2, 1, 1, 4}
	for i, want := range []bool{true, false, false, false, false, false, true} {
		if got := leads(all, i, 2); got != want {
			t.Errorf("place %d: %v", i, got)
		}
	}
	if !leads(all, 2, 1) || leads(all, 3, 1) {
		t.Error("with one beside, the first of 2 and 2 leads")
	}
}

// A full-scale sine has a power of 1.5 in the bins of its band (Hann: its bin's 1 and 1/4 at
// either side), and nothing in the others. The bands end at 130, 520, 2000 and 4000 Hz.
func TestBands(t *testing.T) {
	for hz, band := range map[float64]int{40: 0, 115: 0, 145: 1, 505: 1, 535: 2, 1985: 2, 2015: 3, 3985: 3} {
		a := newAnalyser(11025)
		frame := make([]float64, len(a.window))
		for i := range frame {
			frame[i] = math.Sin(2 * math.Pi * hz * float64(i) / 11025)
		}
		a.analyse(frame)
		for b, v := range a.power {
			want := 0.0
			if b == band {
				want = 1.5
			}
			if math.Abs(v-want) > 0.01 {
				t.Errorf("%v Hz: %.4f in band %d, want %v", hz, v, b, want)
			}
		}
	}
}

// 1, 4, 9, ... sum to n (n+1) (2n+1) / 6.
func TestPower(t *testing.T) {
	var x []float64
	for n := range 10 {
		if got, want := power(x), float64(n*(n+1)*(2*n+1)/6); got != want {
			t.Errorf("%d: %v, want %v", n, got, want)
		}
		x = append(x, float64(n+1))
	}
}

// A moment holds the power of its frames, of which a sine of half the amplitude has a quarter of
// 1.5 each, and so does one that two have become.
func TestMomentsHoldPower(t *testing.T) {
	x := make([]float32, 5*testRate)
	for i := range x {
		x[i] = float32(0.5 * math.Sin(2*math.Pi*300*float64(i)/testRate))
	}
	m := listen(x, testRate)
	for i, s := range m.moments {
		if got := float64(s.power[1]) / float64(s.frames); math.Abs(got-0.375) > 0.003 || s.power[2] > 1e-3 {
			t.Errorf("moment %d: %.4f a frame, %.5f above", i, got, s.power[2])
		}
	}
	a, b := m.moments[0], m.moments[1]
	a.merge(&b)
	if a.frames != 6 || math.Abs(float64(a.power[1])-6*0.375) > 0.02 {
		t.Errorf("two: %.3f in %d frames", a.power[1], a.frames)
	}
}

// Of 40 dB in all 12 on D major, 8 on D minor, 10 on G major, 5 on G minor and 5 on E minor: on D
// log((20+3)/(40+30)), in D minor with those on G major besides, its fourth, in D major with
// 0.2 of those on E minor, its second.
func TestBegins(t *testing.T) {
	p := part{sounds: triad(2, 4)}
	e := &p.chords.entering
	e[2], e[12+2], e[7], e[12+7], e[12+4], p.chords.entries = 12, 8, 10, 5, 5, 40
	l := p.listener()
	for k, want := range map[Key]float64{{2, Major}: 24. / 70, {2, Minor}: 33. / 70, {7, Minor}: 18. / 70, {0, Major}: 4.6 / 70, {9, Minor}: 15. / 70, {11, Major}: 3. / 70} {
		if got := l.begins(k); math.Abs(got-math.Log(want)) > 1e-12 {
			t.Errorf("%v: %.4f, want the logarithm of %.4f", k, got, want)
		}
		if f := l.features(k); f[enters] != l.begins(k) {
			t.Errorf("%v: the feature is %.4f", k, f[enters])
		}
	}
}

// A section begins with what sounds in the second and third moment of it, as far as they are full.
func TestEnter(t *testing.T) {
	var x []sounds
	var rate []float64
	for i := range 24 {
		root := 0
		if i >= 12 {
			root = 5
		}
		x, rate = append(x, triad(root, 4)), append(rate, 1)
	}
	d := decodeChords(x, rate)
	for _, c := range []struct{ at, root int }{{2, 0}, {9, 0}, {11, 5}, {16, 5}} {
		var h harmony
		d.steps = make([]float64, len(x))
		d.steps[c.at] = 8
		for i := range x {
			d.tell(i, &h)
		}
		if math.Abs(h.entries-8) > 1e-9 || math.Abs(h.entering[c.root]-8) > 0.1 {
			t.Errorf("a step at %d: %.2f of %.2f on %v", c.at, h.entering[c.root], h.entries, Key{c.root, Major})
		}
	}
	var h harmony
	d.steps = make([]float64, len(x))
	d.steps[22] = 8 // one moment is left of it
	d.full[23] = true
	d.tell(22, &h)
	if math.Abs(h.entries-4) > 1e-9 {
		t.Errorf("at the end %.2f", h.entries)
	}
	d.full[23] = false
	h = harmony{}
	if d.tell(22, &h); h.entries != 0 {
		t.Errorf("of drums alone %.2f", h.entries)
	}
	sum := harmony{entering: perChord{5: 2}, entries: 3}
	sum.add(&harmony{entering: perChord{5: 1, 19: 4}, entries: 6})
	if sum.entering != (perChord{5: 3, 19: 4}) || sum.entries != 9 {
		t.Errorf("together %v of %v", sum.entering, sum.entries)
	}
}

// A loop of F# minor and B minor, two bars each, is in the key of the chord with which its
// sections begin: it holds the same notes either way.
func TestSectionsTell(t *testing.T) {
	for _, first := range []int{6, 11} {
		m := New(testRate, 1)
		var x []sounds
		var rate []float64
		for i := range 144 {
			c := triad([2]int{6, 11}[(i/8+first%2)%2], 3)
			c.scale(10)
			x, rate = append(x, c), append(rate, 10)
			s := moment{frames: momentFrames}
			for b := range s.power { // layers come and go every 48 moments
				s.power[b] = float32(math.Pow(10, float64(i/48%2*2-1)))
			}
			m.moments = append(m.moments, s)
		}
		var p part
		for _, q := range m.gather(x, rate) {
			p.add(&q)
		}
		o := p.odds()
		if got, next := o.best(); got != (Key{first, Minor}) || next != (Key{17 - first, Minor}) {
			t.Errorf("sections on %v: %v, then %v", Key{first, Minor}, got, next)
		}
	}
}
