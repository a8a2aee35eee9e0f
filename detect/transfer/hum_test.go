package transfer

import (
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/dsp"
)

// slowRate is that of the decimated channels at 44.1 kHz.
const slowRate = 44100.0 / 64

// slow makes so many seconds of the decimated channels.
func slow(seconds float64, at func(t float64, c int) float64) *humMeter {
	m := newHumMeter(slowRate, 256)
	var x [2][]float32
	for i := range int(seconds * slowRate) {
		for c := range x {
			x[c] = append(x[c], float32(at(float64(i)/slowRate, c)))
		}
	}
	for from := 0; from < len(x[0]); from += 250 {
		to := min(from+250, len(x[0]))
		m.write(x[0][from:to], x[1][from:to])
	}
	return m
}

// lines are sines of 1, 2, 3 times hz, each of so many dBFS RMS.
func lines(t, hz, db float64, n int) (v float64) {
	for h := range n {
		v += amplitude(db) * math.Sqrt2 * math.Sin(2*math.Pi*hz*float64(h+1)*t+float64(h))
	}
	return v
}

// Expected: the powers of the lines of both channels, their mean taken; the frequency to
// the step that is searched.
func TestHumIsMeasured(t *testing.T) {
	const tolerance = 0.2 // dB: a third line 0.3 Hz from its place lies on the window's slope of 3 dB a bin
	rng := rand.New(rand.NewPCG(1, 1))
	for _, c := range []struct {
		name       string
		series     int
		hz         float64
		n          int
		level      float64
		left, both float64
	}{
		{"five lines of -50 dBFS in both", 0, 50, 5, -50 + 10*math.Log10(5), 1, 1},
		{"three lines of 60.1 Hz", 1, 60.1, 3, -50 + 10*math.Log10(3), 1, 1},
		{"three lines of 49.9 Hz on one side", 0, 49.9, 3, -50 + 10*math.Log10(3) - 3.01, 1, 0},
		{"in opposite phase", 0, 50.06, 4, -50 + 10*math.Log10(4), 1, -1},
	} {
		m := slow(40, func(t float64, ch int) float64 {
			g := c.left
			if ch == 1 {
				g = c.both
			}
			return g*lines(t, c.hz, -50, c.n) + amplitude(-80)*rng.NormFloat64()
		})
		h := m.hum(c.series)
		if !h.is() || math.Abs(h.level-c.level) > tolerance || math.Abs(h.hz-c.hz) > humOffStep/2+1e-9 || h.lines != c.n || h.missed > 0 {
			t.Errorf("%s: level %.3f, %+v, want %.2f dBFS at %.2f Hz", c.name, h.level, h, c.level, c.hz)
		}
		if other := m.hum(1 - c.series); other.together >= h.together/2 {
			t.Errorf("%s: the other series too: %+v", c.name, other)
		}
	}
}

// Expected: what is hum to nobody, each by one of its marks.
func TestNoHum(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	noise := func() float64 { return amplitude(-75) * rng.NormFloat64() }
	for name, at := range map[string]func(t float64, c int) float64{
		"noise":                  func(float64, int) float64 { return noise() },
		"silence":                func(float64, int) float64 { return 0 },
		"G1":                     func(t float64, _ int) float64 { return lines(t, 49, -50, 5) + noise() },
		"B1":                     func(t float64, _ int) float64 { return lines(t, 61.74, -50, 5) + noise() },
		"A#1":                    func(t float64, _ int) float64 { return lines(t, 58.27, -50, 5) + noise() },
		"0.3 Hz off":             func(t float64, _ int) float64 { return lines(t, 50.3, -50, 5) + noise() },
		"as loud as a bass":      func(t float64, _ int) float64 { return lines(t, 50, -40, 3) + noise() },
		"too faint to be heard":  func(t float64, _ int) float64 { return lines(t, 50, -76, 3) + noise()/300 },
		"a loud line of 60.3 Hz": func(t float64, _ int) float64 { return lines(t, 60.3, -30, 1) + noise() },
		"stops in the second half": func(t float64, _ int) float64 {
			if t > 20 {
				return noise()
			}
			return lines(t, 50, -50, 5) + noise()
		},
		"a bass of 50 Hz on the half beat of 120 BPM": func(t float64, _ int) float64 {
			in := math.Mod(t, 0.5)
			return lines(in, 50, -20, 3)*math.Min(1, in/0.01)*math.Exp(-in/0.06) + noise()
		},
		"a loop of 150 BPM": func(t float64, _ int) float64 {
			in := math.Mod(t, 0.4)
			return lines(in, 50, -24, 5)*math.Max(0, math.Sin(2*math.Pi*in/0.4)) + noise()
		},
		"kicks at 125 BPM that fall to 50 Hz": func(t float64, _ int) float64 {
			in := math.Mod(t, 0.48)
			return 0.6*math.Exp(-in/0.09)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in/0.02)))) + noise()
		},
	} {
		m := slow(40, at)
		for series := range mains {
			if h := m.hum(series); h.is() {
				t.Errorf("%s: %+v", name, h)
			}
		}
	}
	if h := slow(floorLeast-1, func(t float64, _ int) float64 { return lines(t, 50, -50, 5) }).hum(0); h.is() {
		t.Errorf("a short track: %+v", h)
	}
}

// madeFrames are frames with nothing in them; they begin behind another.
func madeFrames(n int) humFrames {
	f := humFrames{dsp.NewThinned[humFrame](1<<14, 2), 1, n}
	for range n + 1 {
		f.all.Append(humFrame{})
	}
	return f
}

// Expected by its formula: frames that turn by off hertz agree wholly when turned back,
// and a frame of twice the music around weighs a sixteenth of it in a product of two.
func TestAgree(t *testing.T) {
	const off = 0.11
	frames := madeFrames(200)
	for i := range frames.n {
		f := &frames.at(i)[0][2]
		f.x[1] = complex64(cmplx.Rect(1e-3, 2*math.Pi*off*float64(i)*humHop/slowRate))
		f.around[1] = 1e-8
	}
	m := newHumMeter(slowRate, 1)
	a := agree(frames, 0, 2, 1)
	if got := m.along(&a, off); math.Abs(got-1) > 1e-6 {
		t.Errorf("turned back: %g", got)
	}
	for l, lag := range humLags {
		want := cmplx.Rect(1, 2*math.Pi*off*float64(lag)*humHop/slowRate)
		if cmplx.Abs(a[l]-want) > 1e-6 {
			t.Errorf("lag %d: %v, want %v", lag, a[l], want)
		}
	}
	if got := m.square(frames, 0, 2, 1, off); math.Abs(got-1e-6) > 1e-12 {
		t.Errorf("square of the amplitude %g, want 1e-6", got)
	}
	y, w := weighed(frames, 0, 2, 1)
	beside := 1e-8 + humOwn*1e-6
	if math.Abs(w[7]*beside*beside-1) > 1e-5 || cmplx.Abs(y[7]-complex128(frames.at(7)[0][2].x[1])*complex(w[7], 0)) > 1e-9*w[7] {
		t.Errorf("weight %g, amplitude %v", w[7], y[7])
	}
	if a := agree(frames, 1, 2, 1); a != (agreement{}) && cmplx.Abs(a[0]) > 0 {
		t.Errorf("nothing there: %v", a)
	}
}

// Expected: a line that half of the frames which would show it lack is missed by half.
func TestMissedAndClearest(t *testing.T) {
	frames := madeFrames(40)
	var power [harmonics][sides]float64
	power[1][0] = 4e-6
	for i := range frames.n {
		f := &frames.at(i)[0][1]
		f.around[0] = 9e-7 // under a quarter of the line: it would show
		if i%2 == 0 {
			f.x[0] = 2e-3
		}
		if i >= 20 {
			f.x[0], f.around[0] = 0, 1.1e-6 // it would not
		}
	}
	for h := range power {
		for c := range sides {
			for i := range frames.n {
				frames.at(i)[0][h].around[c] = max(frames.at(i)[0][h].around[c], 1e-9)
			}
		}
	}
	if share, got := shown(frames, 0, &power); share != 0.5 || got != 0.5 { // those up to the twentieth of forty
		t.Errorf("shown in %g, missed %g, want a half and a half", share, got)
	}
	frames.at(13)[0][1].around[0] = 5e-7
	if got := clearest(frames, 0, &power); got != 13 {
		t.Errorf("clearest in frame %d, want 13", got)
	}
}

// A tone whose phase comes round with the frames leaves its skirt at a line: 261 Hz turns by
// 1.95 a hop of 93 ms more than 240 Hz. It never stands over what is around it, the tone.
func TestSkirtOfATone(t *testing.T) {
	tone := func(hz float64) *humMeter {
		return slow(40, func(t float64, _ int) float64 {
			return 0.1*math.Sin(2*math.Pi*hz*t)*(1+0.3*math.Sin(2*math.Pi*0.28*t)) + 0.1*math.Sin(2*math.Pi*65*t)*(1+0.3*math.Sin(2*math.Pi*0.07*t))
		})
	}
	for hz := 255.0; hz < 265; hz += 0.5 {
		if h := tone(hz).hum(1); h.is() {
			t.Errorf("%g Hz: %+v", hz, h)
		}
	}
	if h := tone(240).hum(1); h.shown < 0.3 { // of three lines that agree it is the one that is seen
		t.Errorf("a line of 240 Hz itself: %+v", h)
	}
}

// Harris, "On the use of windows", Proc. IEEE 66(1), 1978, table 1: the Hann window loses
// 1.42 dB half a bin from a bin's centre.
func TestHannAt(t *testing.T) {
	if got := 20 * math.Log10(hannAt(0.5)); math.Abs(got+1.42) > 0.01 {
		t.Errorf("%.3f dB half a bin off", got)
	}
	if got := hannAt(0); got != 1 {
		t.Errorf("%g in the middle", got)
	}
}

// Marks of hum, each at its border.
func TestIsHum(t *testing.T) {
	good := hum{level: -50, together: humTogether, rest: humTogetherRest, lines: 2, shown: 0.0003}
	for name, c := range map[string]struct {
		change func(*hum)
		want   bool
	}{
		"as it is":             {func(*hum) {}, true},
		"agrees less":          {func(h *hum) { h.together -= 0.01 }, false},
		"rests on one line":    {func(h *hum) { h.rest -= 0.01 }, false},
		"one line, pure":       {func(h *hum) { h.rest, h.best = 0, humAlone }, true},
		"one line, seldom":     {func(h *hum) { h.lines = 1 }, false},
		"one line, often":      {func(h *hum) { h.lines, h.shown = 1, humShown }, true},
		"two, never seen":      {func(h *hum) { h.shown = 0 }, false},
		"three, never seen":    {func(h *hum) { h.lines, h.shown = humSeries, 0 }, true},
		"one line, less pure":  {func(h *hum) { h.rest, h.best = 0, humAlone-0.01 }, false},
		"often missed":         {func(h *hum) { h.missed = humMissed + 0.01 }, false},
		"seldom missed":        {func(h *hum) { h.missed = humMissed }, true},
		"too faint":            {func(h *hum) { h.level = humLeast - 0.1 }, false},
		"as loud as music":     {func(h *hum) { h.level = humLoudest + 0.1 }, false},
		"just not as loud":     {func(h *hum) { h.level = humLoudest }, true},
		"just loud enough yet": {func(h *hum) { h.level = humLeast }, true},
	} {
		h := good
		c.change(&h)
		if h.is() != c.want {
			t.Errorf("%s: %v", name, h.is())
		}
	}
}

// Expected: of one line that agrees wholly and four of nothing the mean is a fifth, and
// that of the others none.
func TestTogetherOfOneLine(t *testing.T) {
	var all [harmonics][sides]agreement
	for l := range all[3][1] {
		all[3][1][l] = 1
	}
	m := newHumMeter(slowRate, 1)
	h := m.together(&all, 0)
	if h.lines != 1 || math.Abs(h.best-1) > 1e-12 || math.Abs(h.rest) > 1e-12 || math.Abs(h.together-1.0/harmonics) > 1e-12 {
		t.Errorf("%+v", h)
	}
	if h := m.together(&all, 0.1); h.best > 0.5 {
		t.Errorf("0.4 Hz off the fourth line: %+v", h)
	}
}

// Expected by the definitions of x and around, from sums over a frame: the third, in which
// the phases of the lines have turned twice.
func TestHumFrame(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	var x [2][]float32
	for c := range x {
		for range humSize + 2*humHop {
			x[c] = append(x[c], float32(rng.NormFloat64()))
		}
	}
	m := newHumMeter(slowRate, len(x[0]))
	m.write(x[0], x[1])
	if m.frames.Len() != 3 {
		t.Fatalf("%d frames", m.frames.Len())
	}
	bin := func(side, k int) (sum complex128) {
		for i := range humSize {
			w := 1 - math.Cos(2*math.Pi*(float64(i)+0.5)/humSize)
			v := float64(x[0][2*humHop+i]) + float64(x[1][2*humHop+i])*float64(1-2*side)
			sum += cmplx.Rect(w*v/humSize, -2*math.Pi*float64(k*i)/humSize)
		}
		return sum
	}
	const tolerance = 1e-5 // of single precision
	for s, hz := range mains {
		for h := range harmonics {
			line := hz * float64(h+1)
			bins := line / slowRate * humSize
			k := int(math.Round(bins))
			d := bins - float64(k)
			gain := 1.0
			if d != 0 {
				gain = math.Sin(math.Pi*d) / (math.Pi * d * (1 - d*d))
			}
			for side := range sides {
				got := m.frames.At(2)[s][h]
				want := bin(side, k) * cmplx.Rect(1/gain, -2*math.Pi*line*2*humHop/slowRate)
				power := func(k int) float64 { return math.Pow(cmplx.Abs(bin(side, k)), 2) }
				around := math.Sqrt((power(k-3)+power(k-4))/2*(power(k+3)+power(k+4))/2) + humFloor
				if cmplx.Abs(complex128(got.x[side])-want) > tolerance || math.Abs(float64(got.around[side])-around) > tolerance {
					t.Errorf("%g Hz, side %d: %v and %g, want %v and %g", line, side, got.x[side], got.around[side], want, around)
				}
			}
		}
	}
}
