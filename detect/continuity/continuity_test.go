package continuity

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
	"testing"

	"dubgauge/detect/reason"
)

const testRate = 44100

// testGrid is the beat of song: 120 BPM from the first sample on.
var testGrid = Grid{BPM: 120, FirstBeat: 0, Confidence: 1}

// song gives a copy of one of the songs, which are made once.
func song(seed uint64) [][]float32 {
	songs.Lock()
	defer songs.Unlock()
	if songs.made[seed] == nil {
		songs.made[seed] = newSong(seed)
	}
	x := songs.made[seed]
	return [][]float32{slices.Clone(x[0]), slices.Clone(x[1])}
}

var songs = struct {
	sync.Mutex
	made map[uint64][][]float32
}{made: map[uint64][][]float32{}}

// newSong is 24 s of a centred kick and bass with a wide, dense pad that never rests,
// dithered to 16 bit: every place is the middle of sound.
func newSong(seed uint64) [][]float32 {
	rng := rand.New(rand.NewPCG(seed, 9))
	n := 24 * testRate
	x := [][]float32{make([]float32, n), make([]float32, n)}
	var pad [2]float64
	for i := range n {
		t := float64(i) / testRate
		in := math.Mod(t, 0.5)
		low := 0.3*math.Exp(-in*10)*math.Sin(2*math.Pi*(50*in+3*(1-math.Exp(-in*30)))) + 0.2*math.Sin(2*math.Pi*61.7*t)
		mid := 0.1 * rng.NormFloat64()
		for c := range x {
			pad[c] += 0.15 * (mid + 0.06*rng.NormFloat64() - pad[c])
			v := low + pad[c] + 0.05*math.Sin(2*math.Pi*(331.3+float64(c))*t)
			x[c][i] = float32(math.Round(v*32768+rng.Float64()-rng.Float64()) / 32768)
		}
	}
	return x
}

func sec(s float64) int { return int(math.Round(s * testRate)) }

func scale(x []float32, g float32) {
	for i := range x {
		x[i] *= g
	}
}

// both does the same to both channels between two times.
func both(x [][]float32, from, to float64, f func([]float32)) [][]float32 {
	for _, c := range x {
		f(c[sec(from):sec(to)])
	}
	return x
}

func zero(x []float32) { clear(x) }

// cut keeps the song between two times.
func cut(x [][]float32, from, to float64) [][]float32 {
	return [][]float32{x[0][sec(from):sec(to)], x[1][sec(from):sec(to)]}
}

func noise(x []float32) {
	rng := rand.New(rand.NewPCG(uint64(len(x)), uint64(x[0]*1e6)))
	for i := range x {
		x[i] = rng.Float32()*2 - 1
	}
}

// Each fault beside the music that looks like it. The times follow from the beat of
// song: beats lie on whole and half seconds, sixteenths 0.125 s apart.
func TestPlanted(t *testing.T) {
	type change func(x [][]float32) [][]float32
	one := func(c int, from, to float64, f func([]float32)) change {
		return func(x [][]float32) [][]float32 { f(x[c][sec(from):sec(to)]); return x }
	}
	two := func(from, to float64, f func([]float32)) change {
		return func(x [][]float32) [][]float32 { return both(x, from, to, f) }
	}
	late := func(n int) change {
		return func(x [][]float32) [][]float32 {
			x[1] = append(make([]float32, n), x[1][:len(x[1])-n]...)
			return x
		}
	}
	for _, tt := range []struct {
		name string
		make change
		want []reason.Kind
		at   float64
	}{
		{"as it is", func(x [][]float32) [][]float32 { return x }, nil, 0},
		{"hole of 1.5 ms", two(7.3012, 7.3027, zero), []reason.Kind{reason.Hole}, 7.3012},
		{"hole of 20 ms", two(7.31, 7.33, zero), []reason.Kind{reason.Hole}, 7.31},
		{"hole of 3 s", two(7.31, 10.37, zero), []reason.Kind{reason.Hole}, 7.31},
		{"hole that ends on the beat", two(7.31, 8.5, zero), []reason.Kind{reason.Hole}, 7.31},
		{"stop of a bar", two(8, 10, zero), nil, 0},
		{"stop of a bar, 15 ms late", two(8.015, 10.015, zero), nil, 0},
		{"stop of a bar, 25 ms late", two(8.025, 10.025, zero), []reason.Kind{reason.Hole}, 8.025},
		{"stop of four bars", two(8, 14, zero), []reason.Kind{reason.Hole}, 8},
		{"stop of a sixteenth", two(8, 8.125, zero), nil, 0},
		{"half a sixteenth", two(8, 8.0625, zero), []reason.Kind{reason.Hole}, 8},
		{"hole in one channel", one(1, 7.31, 7.41, zero), []reason.Kind{reason.Hole}, 7.31},
		{"dead for 3 s", one(1, 7.31, 10.37, zero), []reason.Kind{reason.DeadPart}, 7.31},
		{"dead for 1 s", one(1, 7.31, 8.31, zero), []reason.Kind{reason.DeadPart}, 7.31},
		{"dead from the start", one(0, 0, 9.31, zero), []reason.Kind{reason.DeadPart}, 0},
		{"dead to the end", one(0, 9.31, 24, zero), []reason.Kind{reason.DeadPart}, 9.31},
		{"zeros to the end", two(15.31, 24, zero), []reason.Kind{reason.HoleEnd}, 15.31},
		{"stops on the beat, 4 s of silence", two(20, 24, zero), nil, 0},
		{"stops on the beat, 14 s of silence", two(10, 24, zero), []reason.Kind{reason.HoleEnd}, 10},
		{"begins in the middle", func(x [][]float32) [][]float32 { return cut(x, 3.31, 24) }, []reason.Kind{reason.CutStart}, 0},
		{"ends in the middle", func(x [][]float32) [][]float32 { return cut(x, 0, 20.31) }, []reason.Kind{reason.CutEnd}, 20.31},
		{"ends on the beat", func(x [][]float32) [][]float32 { return cut(x, 0, 20.5) }, nil, 0},
		{"fade to nothing", two(14, 24, func(x []float32) {
			for i := range x {
				x[i] *= 1 - float32(i)/float32(len(x))
			}
		}), nil, 0},
		{"fade that is cut at -15 dB", two(14, 24, func(x []float32) {
			for i := range x {
				x[i] *= float32(math.Pow(10, -15./20*float64(i)/float64(len(x))))
			}
		}), []reason.Kind{reason.CutFade}, 24},
		{"fade that is cut at -32 dB", two(14, 24, func(x []float32) {
			for i := range x {
				x[i] *= float32(math.Pow(10, -32./20*float64(i)/float64(len(x))))
			}
		}), []reason.Kind{reason.CutTail}, 24},
		{"right 2.5 dB down", one(1, 0, 24, func(x []float32) { scale(x, 0.75) }), []reason.Kind{reason.WeakChannel}, math.NaN()},
		{"right 1.9 dB down", one(1, 0, 24, func(x []float32) { scale(x, 0.8035) }), []reason.Kind{reason.WeakChannel}, math.NaN()},
		{"one side of the pad 6 dB down", func(x [][]float32) [][]float32 {
			// What is left of the pad is in the middle in the low end only.
			last := float32(0)
			for i, v := range x[1] {
				last += 0.02 * (v - last)
				x[1][i] = last + 0.5*(v-last)
			}
			return x
		}, nil, 0},
		{"right 1 dB down", one(1, 0, 24, func(x []float32) { scale(x, 0.89) }), nil, 0},
		{"left 10 dB down", one(0, 0, 24, func(x []float32) { scale(x, 0.316) }), []reason.Kind{reason.WeakChannel}, math.NaN()},
		{"left 3 dB down for 6 s", one(0, 7.3, 13.3, func(x []float32) { scale(x, 0.708) }), []reason.Kind{reason.WeakPart}, 7.25},
		{"left 3 dB up for 6 s", one(0, 7.3, 13.3, func(x []float32) { scale(x, 1.413) }), []reason.Kind{reason.WeakPart}, 7.25},
		{"right 6 dB down, and 3 more for 6 s", func(x [][]float32) [][]float32 {
			scale(x[1], 0.5)
			scale(x[1][sec(7.3):sec(13.3)], 0.708)
			return x
		}, []reason.Kind{reason.WeakChannel, reason.WeakPart}, math.NaN()},
		{"right 1 dB down for 6 s", one(1, 7.3, 13.3, func(x []float32) { scale(x, 0.89) }), nil, 0},
		{"right 3 dB down for 2 s", one(1, 7.3, 9.3, func(x []float32) { scale(x, 0.708) }), nil, 0},
		{"the top of one side 6 dB down for 6 s", one(0, 7.3, 13.3, func(x []float32) {
			last := x[0]
			for i, v := range x {
				last += 0.02 * (v - last)
				x[i] = last + 0.5*(v-last)
			}
		}), nil, 0},
		{"left 3 dB down, then 6", func(x [][]float32) [][]float32 {
			scale(x[0][sec(7.3):sec(13.3)], 0.708)
			scale(x[0][sec(13.3):], 0.501)
			return x
		}, []reason.Kind{reason.WeakChannel}, math.NaN()},
		{"left 3 dB down for most of the track", one(0, 3.3, 20.7, func(x []float32) { scale(x, 0.708) }), []reason.Kind{reason.WeakChannel}, math.NaN()},
		{"right inverted for 6 s", one(1, 7.3, 13.3, func(x []float32) { scale(x, -1) }), []reason.Kind{reason.PolarityPart}, 7.25},
		{"right 2 late, which nobody hears", late(2), nil, math.NaN()},
		{"right 3 late", late(3), []reason.Kind{reason.Delay}, math.NaN()},
		{"right 20 late", late(20), []reason.Kind{reason.Delay}, math.NaN()},
		{"right 40 late, but for kick and bass", func(x [][]float32) [][]float32 {
			low, high := make([]float32, len(x[1])), make([]float32, len(x[1]))
			last := float32(0)
			for i, v := range x[1] {
				last += 0.02 * (v - last)
				low[i], high[i] = last, v-last
			}
			for i := 40; i < len(low); i++ {
				x[1][i] = low[i] + high[i-40]
			}
			return x
		}, nil, 0},
		{"the left side 40 late in the right, beside what is in time", func(x [][]float32) [][]float32 {
			for i := len(x[1]) - 1; i >= 40; i-- {
				x[1][i] = 0.45*x[1][i] + 0.55*x[0][i-40]
			}
			return x
		}, nil, 0},
		{"128 KiB of noise", two(7, 7.743, noise), []reason.Kind{reason.Foreign}, 7},
		{"noise in the middle", func(x [][]float32) [][]float32 {
			noise(x[0][sec(7):sec(7.5)])
			copy(x[1][sec(7):sec(7.5)], x[0][sec(7):])
			return x
		}, nil, 0},
		{"a triplet twice, on the beat", func(x [][]float32) [][]float32 {
			for c := range x {
				copy(x[c][sec(9.5+1./6):sec(9.5+1./3)], x[c][sec(9.5):sec(9.5+1./6)])
			}
			return x
		}, nil, 0},
		{"a triplet twice, off the beat", func(x [][]float32) [][]float32 {
			for c := range x {
				copy(x[c][sec(9.535+1./6):sec(9.535+1./3)], x[c][sec(9.535):sec(9.535+1./6)])
			}
			return x
		}, []reason.Kind{reason.Repeat}, 9.535 + 1./6},
		{"137 ms twice", func(x [][]float32) [][]float32 {
			for c := range x {
				copy(x[c][sec(9.31):sec(9.447)], x[c][sec(9.173):sec(9.31)])
			}
			return x
		}, []reason.Kind{reason.Repeat}, 9.31},
		{"a beat twice", func(x [][]float32) [][]float32 {
			for c := range x {
				copy(x[c][sec(9.5):sec(10)], x[c][sec(9):sec(9.5)])
			}
			return x
		}, nil, 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			x := tt.make(song(1))
			grid := testGrid
			if slices.Contains(tt.want, reason.CutStart) { // the beat moves with what is cut off
				grid.FirstBeat = float64(len(x[0]))/testRate - 24
			}
			got := run(x, testRate, grid)
			var kinds []reason.Kind
			for _, f := range got {
				kinds = append(kinds, f.Kind)
			}
			if !slices.Equal(kinds, tt.want) {
				t.Fatalf("found %v, want %v: %+v", kinds, tt.want, got)
			}
			// Blocks are a quarter of a second long, edges exact but for small samples.
			near := 0.002
			if len(kinds) > 0 && (kinds[0] == reason.WeakPart || kinds[0] == reason.PolarityPart) {
				near = 2 * blockSeconds
			}
			if len(got) > 0 && !math.IsNaN(tt.at) && !(math.Abs(got[0].At-tt.at) <= near) {
				t.Errorf("at %.4f s, want %.4f", got[0].At, tt.at)
			}
		})
	}
}

// A gate comes at even distances.
func TestGate(t *testing.T) {
	x := song(2)
	for k := range 80 {
		both(x, 4+0.125*float64(k)+0.07, 4+0.125*float64(k+1), zero)
	}
	if got := run(x, testRate, testGrid); len(got) > 0 {
		t.Errorf("%+v", got)
	}
}

func TestSilence(t *testing.T) {
	x := [][]float32{make([]float32, 5*testRate), make([]float32, 5*testRate)}
	if got := run(x, testRate, testGrid); len(got) > 0 {
		t.Errorf("%+v", got)
	}
	if got := New(testRate, 2).Result(Grid{}); len(got) > 0 {
		t.Errorf("of nothing: %+v", got)
	}
}

// With no beat a hole in the middle of sound is found all the same, and an end there;
// of the start it is said that it lies in sound, which may be meant.
func TestNoBeat(t *testing.T) {
	got := run(cut(both(song(3), 7.31, 8.4, zero), 1.3, 20.31), testRate, Grid{BPM: math.NaN(), FirstBeat: math.NaN()})
	if want := []reason.Kind{reason.StartsInside, reason.Hole, reason.CutEnd}; !slices.Equal(kindsOf(got), want) {
		t.Errorf("%+v, want %v", got, want)
	}
}

// The delay is told to the sample, and its side.
func TestDelayFigure(t *testing.T) {
	for _, n := range []int{3, 20, 77} {
		x := song(4)
		x[0] = append(make([]float32, n), x[0][:len(x[0])-n]...)
		got := run(x, testRate, testGrid)
		if len(got) != 1 || math.Abs(got[0].Figure-float64(n)) > 0.1 || got[0].Detail[:len("the whole of the left")] != "the whole of the left" {
			t.Errorf("%d samples: %+v", n, got)
		}
	}
}

// Between samples too.
func TestDelayOfHalfSamples(t *testing.T) {
	x := song(4)
	for i := len(x[0]) - 1; i >= 4; i-- {
		x[1][i] = (x[1][i-3] + x[1][i-4]) / 2
	}
	got := run(x, testRate, testGrid)
	if len(got) != 1 || got[0].Kind != reason.Delay || math.Abs(got[0].Figure-3.5) > 0.1 {
		t.Errorf("%+v", got)
	}
}
