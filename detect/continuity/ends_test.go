package continuity

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"dubgauge/detect/reason"
)

// beatAt is the grid of song with the first beat at a time.
func beatAt(t float64) Grid { return Grid{BPM: 120, FirstBeat: t, Confidence: 1} }

func kindsOf(fs []Finding) (out []reason.Kind) {
	for _, f := range fs {
		out = append(out, f.Kind)
	}
	return out
}

// How a track begins and ends. Beats of song lie on whole and half seconds.
func TestEnds(t *testing.T) {
	quiet := func(x [][]float32, from, to float64) [][]float32 { return both(x, from, to, zero) }
	noisy := func(x [][]float32, from, to float64) [][]float32 {
		return both(x, from, to, func(x []float32) {
			for i := range x {
				x[i] = 1e-4 * float32(1-2*(i%2))
			}
		})
	}
	bars := func(first float64) Grid { return Grid{BPM: 120, Confidence: 1, FirstBar: first, BarKnown: true} }
	linear := func(x [][]float32, seconds, last float64) [][]float32 {
		n := len(x[0])
		for c := range x {
			for i := max(0, n-sec(seconds)); i < n; i++ {
				x[c][i] *= float32(1 - (1-last)*float64(i-n+sec(seconds))/float64(sec(seconds)))
			}
		}
		return x
	}
	for _, tt := range []struct {
		name string
		x    [][]float32
		grid Grid
		want []reason.Kind
	}{
		{"in the middle of a beat", cut(song(1), 3.31, 23), beatAt(0.19), []reason.Kind{reason.CutStart}},
		{"long before there is a beat", cut(song(1), 3.31, 23), beatAt(5.19), []reason.Kind{reason.StartsInside}},
		{"on a beat that is not sure", cut(song(1), 3.31, 23), Grid{BPM: 120}, []reason.Kind{reason.CutEnd}},
		{"off a beat that is not sure", cut(song(1), 3.31, 23), Grid{BPM: 120, FirstBeat: 0.06}, []reason.Kind{reason.StartsInside, reason.CutEnd}},
		{"with a first sample of zero", quiet(cut(song(1), 3.31, 23), 0, 2./testRate), beatAt(0.19), nil},
		{"with 10 ms of silence", quiet(cut(song(1), 3.31, 23), 0, 0.01), beatAt(0.19), []reason.Kind{reason.StartsInside}},
		{"with 10 ms of noise at -80 dBFS", noisy(cut(song(1), 3.31, 23), 0, 0.01), beatAt(0.19), []reason.Kind{reason.CutStart}},
		{"on an eighth", cut(song(1), 3.25, 23), beatAt(0.25), nil},
		{"7 ms before a beat", cut(song(1), 3.493, 23), beatAt(0.007), nil},
		{"9 ms behind a beat", cut(song(1), 3.509, 23), beatAt(0.491), []reason.Kind{reason.CutStart}},
		{"3.5 ms before an eighth", cut(song(1), 3.2465, 23), beatAt(0.2535), nil},
		{"5 ms before an eighth", cut(song(1), 3.245, 23), beatAt(0.255), []reason.Kind{reason.CutStart}},
		{"as long as 10 bars, from off the beat", cut(song(1), 3.31, 23.31), beatAt(0.19), nil},
		{"as long as 10 bars and 25 ms", cut(song(1), 3.31, 23.335), beatAt(0.19), []reason.Kind{reason.CutStart, reason.CutEnd}},
		{"ends 7 ms behind a beat", cut(song(1), 0, 20.507), testGrid, nil},
		{"ends 9 ms behind a beat", cut(song(1), 0, 20.509), testGrid, []reason.Kind{reason.CutEnd}},
		{"ends on an eighth", cut(song(1), 0, 20.25), testGrid, nil},
		{"ends 3 ms behind an eighth", cut(song(1), 0, 20.253), testGrid, []reason.Kind{reason.CutEnd}},
		{"ends with a bar, to 19 ms, of a beat that is not sure", cut(song(1), 0, 20.019), Grid{BPM: 120, FirstBeat: 0.1}, nil},
		{"ends off the beat 12 dB under the loud parts", both(both(cut(song(1), 0, 20.31), 0, 20.31, func(x []float32) { scale(x, 2) }), 20, 20.31,
			func(x []float32) { scale(x, 0.25) }), testGrid, []reason.Kind{reason.CutTail}},
		{"on a sixteenth", cut(song(1), 3.125, 23), beatAt(0.375), nil},
		{"3 ms before a sixteenth", cut(song(1), 3.122, 23), beatAt(0.378), []reason.Kind{reason.CutStart}},
		{"on a sixteenth, behind a rest", quiet(cut(song(1), 3, 23), 0, 0.125), beatAt(0), nil},
		{"off the beat, behind a rest", quiet(cut(song(1), 3, 23), 0, 0.16), beatAt(0), []reason.Kind{reason.StartsInside}},
		{"quietly", both(cut(song(1), 3.31, 23), 0, 0.6, func(x []float32) { scale(x, 0.02) }), beatAt(0.19), nil},
		{"ends 15 ms before the beat, and the file on it", quiet(cut(song(1), 0, 20.5), 20.485, 20.5), testGrid, nil},
		{"ends off the beat, and the file 15 ms behind", quiet(cut(song(1), 0, 20.325), 20.31, 20.325), testGrid, []reason.Kind{reason.CutEnd}},
		{"a loop of 32 beats from off the beat", quiet(cut(song(1), 3.31, 19.31), 0, 2./testRate), beatAt(0.19), nil},
		{"ends on a sixteenth", cut(song(1), 0, 20.125), testGrid, nil},
		{"ends 3 ms behind a sixteenth", cut(song(1), 0, 20.378), testGrid, []reason.Kind{reason.CutEnd}},
		{"ends off the beat in the noise of a tail", both(cut(song(1), 0, 20.31), 19.6, 20.31, func(x []float32) { scale(x, 0.02) }), testGrid, nil},
		{"a straight fade of 12 s, cut at 30 %", linear(song(1), 12, 0.3), testGrid, []reason.Kind{reason.CutFade}},
		{"a straight fade of 12 s, to its end", linear(song(1), 12, 0), testGrid, nil},
		{"a straight fade of 12 s, cut at 30 %, the last 50 ms 20 dB down", both(linear(song(1), 12, 0.3), 23.95, 24, func(x []float32) { scale(x, 0.1) }), testGrid, nil},
		{"a straight fade of 12 s, cut at 30 %, the last 50 ms 12 dB down", both(linear(song(1), 12, 0.3), 23.95, 24, func(x []float32) { scale(x, 0.25) }), testGrid, []reason.Kind{reason.CutFade}},
		{"a straight fade of 12 s, cut at 30 %, the last 2 ms 26 dB down", both(linear(song(1), 12, 0.3), 23.998, 24, func(x []float32) { scale(x, 0.05) }), testGrid, nil},
		{"ends off the beat as long as 40 beats", quiet(cut(song(1), 0.31, 20.61), 20, 20.3), beatAt(0.19), []reason.Kind{reason.CutStart}},
		{"9 dB down at once, 4 s before the end", both(song(1), 20, 24, func(x []float32) { scale(x, 0.35) }), testGrid, nil},
		{"4 dB down over 12 s", linear(song(1), 12, 0.63), testGrid, nil},
		{"8 dB down over 12.5 s", both(song(1), 11.5, 24, func(x []float32) {
			for i := range x {
				x[i] *= float32(math.Pow(10, -7.75/20*float64(i)/float64(len(x))))
			}
		}), testGrid, []reason.Kind{reason.CutFade}},
		{"ends off the beat with a ramp of 10 ms", both(cut(song(1), 0, 20.31), 20.3, 20.31, func(x []float32) {
			for i := range x {
				x[i] *= 1 - float32(i)/float32(len(x))
			}
		}), testGrid, nil},
		{"a loud track ends in a tail", both(both(cut(song(1), 0, 20.31), 0, 20.31, func(x []float32) { scale(x, 3) }), 19.6, 20.31,
			func(x []float32) { scale(x, 0.08) }), testGrid, nil},
		{"ends on the second beat of a bar", cut(song(1), 0, 20.5), bars(0), []reason.Kind{reason.EndsInside}},
		{"ends on a bar line", cut(song(1), 0, 20), bars(0), nil},
		{"ends 9 ms behind the second beat of a bar", cut(song(1), 0, 20.509), bars(0), []reason.Kind{reason.CutEnd}},
		{"ends on the second beat, and the file 60 ms behind", quiet(cut(song(1), 0, 20.56), 20.5, 20.56), bars(0), nil},
		{"ends on the second beat 12 dB under the loud parts", both(both(cut(song(1), 0, 20.5), 0, 20.5, func(x []float32) { scale(x, 2) }), 20, 20.5,
			func(x []float32) { scale(x, 0.25) }), bars(0), nil},
		{"ends on a beat, as long as 10 bars", cut(song(1), 0.5, 20.5), bars(0), nil},
		{"begins on the third beat of a bar", cut(song(1), 3.003, 23.3), Grid{BPM: 120, FirstBeat: -0.003, Confidence: 1, FirstBar: 0.997, BarKnown: true}, []reason.Kind{reason.StartsInside, reason.CutEnd}},
		{"begins on a bar line", cut(song(1), 4.003, 23.5), Grid{BPM: 120, FirstBeat: -0.003, Confidence: 1, FirstBar: -0.003, BarKnown: true}, []reason.Kind{reason.EndsInside}},
		{"one side silent from a beat on for 3 s", func() [][]float32 { x := song(1); clear(x[0][sec(21):]); return x }(), testGrid, nil},
		{"one side silent from a beat on for 6 s", func() [][]float32 { x := song(1); clear(x[0][sec(18):]); return x }(), testGrid, []reason.Kind{reason.DeadPart}},
	} {
		if got := run(tt.x, testRate, tt.grid); !slices.Equal(kindsOf(got), tt.want) {
			t.Errorf("%s: found %v, want %v: %+v", tt.name, kindsOf(got), tt.want, got)
		}
	}
}

// A channel that is dead for a part tells nothing of where the other one begins or ends.
func TestEndsOfOneChannel(t *testing.T) {
	faded := func(x []float32, from, to float64) {
		for i := sec(from); i < sec(to); i++ {
			x[i] *= float32(sec(to)-i) / float32(sec(to-from))
		}
		clear(x[sec(to):])
	}
	for name, reversed := range map[string]bool{"from the middle on": false, "up to the middle": true} {
		x := song(1)
		clear(x[0][sec(9.31):])
		faded(x[1], 22, 23.4)
		if reversed {
			slices.Reverse(x[0])
			slices.Reverse(x[1])
		}
		if got := run(x, testRate, testGrid); !slices.Equal(kindsOf(got), []reason.Kind{reason.DeadPart}) {
			t.Errorf("dead %s: %+v, want one dead part", name, got)
		}
	}
}

// A beat that does not reach back to the start does not tell of it.
func TestStartWithAnotherTempo(t *testing.T) {
	grid := Grid{BPM: 125, FirstBeat: 0.38, Confidence: 1} // of what begins 100 ms behind a beat
	for first, want := range map[float64]int{125: 1, 120: 0} {
		x := append(drums(first, steady)[sec(0.1):sec(19.2)], drums(125, steady)...)
		scale(x, 0.5)
		for i := range x { // sound that never rests
			x[i] += 0.1 * float32(math.Sin(float64(i)*0.1))
		}
		if got := countKind(run([][]float32{x}, testRate, grid), reason.CutStart); got != want {
			t.Errorf("%.0f BPM up to 19 s, 125 from there on: %d", first, got)
		}
	}
}

// A fade is a straight line of levels, but for what beats do to it.
func TestFalls(t *testing.T) {
	for _, tt := range []struct {
		name   string
		levels []float64 // of each second, in dB
		want   bool
	}{
		{"2 dB a second", []float64{0, -2, -4, -6, -8}, true},
		{"1.4 dB a second", []float64{0, -1.4, -2.8, -4.2, -5.6}, false},
		{"1.6 dB a second, and some of the beat", []float64{0, -2.2, -2.6, -5.2, -6.4}, true},
		{"a step", []float64{0, 0, -8, -8, -8}, false},
		{"a rise within it", []float64{0, -1.2, -2.4, -3.6, -2.0, -6, -7.2, -8.4, -9.6}, false},
		{"a rise of a second in a long one", []float64{0, -1, -2, -3, -4, -5, -3.4, -7, -8, -9, -10, -11}, false},
		{"a smaller one", []float64{0, -1, -2, -3, -4, -5, -4.4, -7, -8, -9, -10, -11}, true},
		{"upwards", []float64{-8, -6, -4, -2, 0}, false},
	} {
		m := New(testRate, 1)
		for _, l := range tt.levels {
			for k := range 4 {
				m.blocks.list = append(m.blocks.list, block{power: [2]float32{float32(math.Pow(10, (l-3*float64(k))/10))}})
			}
		}
		level, got := m.falls(int64(float64(len(m.blocks.list))*m.blocks.seconds*testRate)+1, len(tt.levels)-1)
		if got != tt.want || got && math.Abs(level-tt.levels[len(tt.levels)-1]) > 3.1 {
			t.Errorf("%s: %v, %.1f dB", tt.name, got, level)
		}
	}
}

// A side that is silent while the other one hardly sounds is a pan, not dead.
func TestDeadBesideNothing(t *testing.T) {
	x := song(1)
	clear(x[0][sec(18.31):])
	scale(x[1][sec(18.31):], 0.001)
	for _, f := range run(x, testRate, testGrid) {
		if f.Kind == reason.DeadPart {
			t.Errorf("%+v", f)
		}
	}
}

// Data that is no sound is white, at the level of bytes, different in both channels, and
// lasts for a cluster or some.
func TestForeign(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	write := func(from, to float64, f func(last float32) float32) [][]float32 {
		return both(song(1), from, to, func(x []float32) {
			last := float32(0)
			for i := range x {
				last = f(last)
				x[i] = last
			}
		})
	}
	white := func(float32) float32 { return rng.Float32()*2 - 1 }
	letter := func(float32) float32 {
		const text = "a hole of 128 KiB\nin the MIDDLE of it; <tag key='x'>and so on</tag>"
		return float32(int(text[rng.IntN(len(text))])<<8|int(text[rng.IntN(len(text))])) / 32768
	}
	past := float32(0)
	for _, tt := range []struct {
		name string
		x    [][]float32
		want int
	}{
		{"bytes of any value", write(7, 7.4, white), 1},
		{"text", write(7, 7.4, letter), 1},
		{"a hat of 0.2 s", write(7, 7.2, falling(rng)), 0},
		{"bytes of any value, 23 ms", write(7, 7.0232, white), 1},
		{"bytes of any value, 23 ms, from late in a cell on", write(7.0005, 7.0237, white), 1},
		{"bytes of any value, 17 ms", write(7, 7.017, white), 0},
		{"text, 23 ms", write(7, 7.0232, letter), 0},
		{"21 s of it", write(2, 23, white), 0},
		{"noise at -15 dBFS", write(7, 7.4, func(l float32) float32 { return 0.3 * white(l) }), 0},
		{"noise that lacks some of the top", write(7, 7.4, func(float32) float32 {
			now := rng.Float32()*2 - 1
			y := now + 0.35*past
			past = now
			return y
		}), 0},
	} {
		n := 0
		for _, f := range run(tt.x, testRate, testGrid) {
			if f.Kind == reason.Foreign {
				n++
				if math.Abs(f.At-7) > 0.01 || math.Abs(f.Figure-0.4) > 0.01 && math.Abs(f.Figure-0.0232) > 0.003 {
					t.Errorf("%s: %+v", tt.name, f)
				}
			}
		}
		if n != tt.want {
			t.Errorf("%s: %d found, want %d", tt.name, n, tt.want)
		}
	}
}

// falling is white noise that dies within a tenth of a second, as a hat does.
func falling(rng *rand.Rand) func(float32) float32 {
	level := 1.0
	return func(float32) float32 {
		level *= math.Exp(-1 / sec64(0.05))
		return float32(level * (2*rng.Float64() - 1))
	}
}

// What is no number does not reach the figures.
func TestWildSamples(t *testing.T) {
	x := song(1)
	x[0][300000], x[1][400000], x[0][500000] = float32(math.NaN()), float32(math.Inf(1)), 3e38
	if got := run(x, testRate, testGrid); len(got) != 0 {
		t.Errorf("%+v", got)
	}
}

// Past maxBlocks two become one, with their mean.
func TestBlocksOfLongTracks(t *testing.T) {
	b := newBlocks(2, testRate, 64)
	seconds := b.seconds
	for i := range maxBlocks * b.perBlock {
		e := float32(64 * (1 + i/b.perBlock%2))
		b.cell(&[2]cell{{energy: e, slope: 2 * e}, {energy: 3 * e, slope: 4 * e}}, 5*e, 64)
	}
	if len(b.list) != maxBlocks/2 || b.seconds != 2*seconds {
		t.Fatalf("%d blocks of %g s", len(b.list), b.seconds)
	}
	if got := b.list[7]; got.power != [2]float32{1.5, 4.5} || got.slope != [2]float32{3, 6} || got.cross != 7.5 {
		t.Errorf("%+v", got)
	}
}

// An effect that is late beside what is in time is no late channel, and a peak as low as
// noise gives is none. No low end tells here.
func TestLateBesideWhatIsNot(t *testing.T) {
	for _, tt := range []struct {
		name         string
		late, inTime float64
		by           int
		want         bool
	}{
		{"late", 1, 0, 40, true},
		{"late, and a little in time", 1, 0.15, 40, true},
		{"late, and as much in time", 1, 0.6, 40, false},
		{"late by 5", 1, 0, 5, true},
		{"late by 5, and as much in time", 1, 0.6, 5, false},
		{"faint and late by 5", 0.2, 0, 5, false},
		{"faint and late by 40", 0.2, 0, 40, true},
	} {
		rng := rand.New(rand.NewPCG(6, 6))
		n := 20 * testRate
		x := [][]float32{make([]float32, n), make([]float32, n)}
		mid := make([]float64, n)
		for i := range mid {
			mid[i] = 0.1 * rng.NormFloat64()
			l, r := 0.1*rng.NormFloat64(), 0.1*rng.NormFloat64()
			x[0][i] = float32(mid[i] + l)
			if i >= tt.by {
				r += tt.late * mid[i-tt.by]
			}
			x[1][i] = float32(r + tt.inTime*mid[i])
		}
		m := New(testRate, 2)
		m.Write(x)
		m.look(true)
		if got := m.delay(); len(got) == 1 != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// A mix that was widened has its sides upside down and in time, between 1 and 4 kHz here: the
// wings of that are no delay.
func TestWidenedIsNotLate(t *testing.T) {
	for _, tt := range []struct {
		name     string
		opposite float64 // share of the band that is upside down in the right
		by, want int
	}{{"widened", 0.9, 0, 0}, {"less widened", 0.5, 0, 0}, {"late by 7", -1, 7, 1}, {"late by 13", -1, 13, 1}} {
		rng := rand.New(rand.NewPCG(6, 8))
		n := 20 * testRate
		x := [][]float32{make([]float32, n), make([]float32, n)}
		var slow, low float64
		for i := range n - 13 {
			v := rng.NormFloat64()
			slow += 0.4 * (v - slow)
			low += 0.15 * (slow - low)
			band := slow - low
			x[0][i] += float32(0.3*band + 0.02*rng.NormFloat64())
			x[1][i] += float32(0.02 * rng.NormFloat64())
			x[1][i+tt.by] -= float32(tt.opposite * 0.3 * band)
		}
		m := New(testRate, 2)
		m.Write(x)
		m.look(true)
		if got := m.delay(); len(got) != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// Kick and bass whose phases scatter do not tell of a delay of 5 samples, those whose phases
// agree do.
func TestLateWithLowEnd(t *testing.T) {
	for _, tt := range []struct {
		name        string
		first, then float64 // samples by which 55 and 110 Hz are late in the right
		want        int
	}{
		{"late", 5, 5, 1},
		{"in time", 0, 0, 0},
		{"scattered", -30, 2, 1},
		{"late by 20 more", 25, 25, 0},
	} {
		rng := rand.New(rand.NewPCG(6, 7))
		n := 20 * testRate
		x := [][]float32{make([]float32, n), make([]float32, n)}
		low := func(i, first, then float64) float64 {
			return 0.2*math.Sin(2*math.Pi*55*(i-first)/testRate) + 0.2*math.Sin(2*math.Pi*110*(i-then)/testRate)
		}
		for i := range n - 5 {
			mid := 0.05 * rng.NormFloat64()
			x[0][i] += float32(mid + low(float64(i), 0, 0))
			x[1][i+5] += float32(mid)
			x[1][i] += float32(low(float64(i), tt.first, tt.then))
		}
		m := New(testRate, 2)
		m.Write(x)
		m.look(true)
		if got := m.delay(); len(got) != tt.want {
			low, off, sure := m.lag.lowDelay()
			t.Errorf("%s: %+v; low end late by %.1f, off %.1f, sure %v", tt.name, got, low, off, sure)
		}
	}
}
