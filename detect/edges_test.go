package detect

import (
	"context"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"testing"

	"dubgauge/detect/dsp"
)

// edged is a track with a known beginning and end around sixty bars of drums, bass and chords.
type edged struct {
	bpm          float64
	kick, snare  []int // sixteenths of a bar
	intro, outro string
	rate         int
	seed         uint64
}

// How many bars what stands around the middle has.
const (
	edgeBars   = 8
	middleBars = 44
	fadeBars   = 16
)

func (e *edged) bar() float64 { return 240 / e.bpm }

// bars of each part: an intro or outro of its own, or none.
func (e *edged) bars() (intro, outro int) {
	if e.intro != "none" {
		intro = edgeBars
	}
	switch e.outro {
	case "cold":
	case "fade":
		outro = fadeBars
	default:
		outro = edgeBars
	}
	return intro, outro
}

// render plays it. What an intro or outro is: pads and a voice without a beat; all of it
// through a low-pass at 150 Hz or a high-pass at 400 Hz; hats alone.
func (e *edged) render() []float32 {
	intro, outro := e.bars()
	total := intro + middleBars + outro
	n := int(float64(total)*e.bar()*float64(e.rate)) + e.rate // a second of silence behind
	r := rand.New(rand.NewPCG(e.seed, 7))
	drums, hats, tones := make([]float64, n), make([]float64, n), make([]float64, n)
	for b := range total {
		kind := "full"
		switch {
		case b < intro:
			kind = e.intro
		case b >= intro+middleBars:
			kind = e.outro
		}
		e.playBar(b, kind, r, drums, hats, tones)
	}
	out := make([]float32, n)
	for i := range out {
		out[i] = float32(0.25 * (drums[i] + hats[i] + tones[i]))
	}
	e.shape(out, 0, intro, e.intro)
	e.shape(out, intro+middleBars, total, e.outro)
	return out
}

// playBar adds one bar.
func (e *edged) playBar(b int, kind string, r *rand.Rand, drums, hats, tones []float64) {
	at := func(step float64) int { return int((float64(b) + step/16) * e.bar() * float64(e.rate)) }
	add := func(into []float64, from int, seconds float64, f func(t float64) float64) {
		for i := 0; i < int(seconds*float64(e.rate)) && from+i < len(into); i++ {
			into[from+i] += f(float64(i) / float64(e.rate))
		}
	}
	root := 55 * math.Exp2(float64([]int{0, 3, 8, 10}[b%4])/12)
	swell := func(t float64) float64 { return min(1, t/0.3, max(0, (e.bar()-t)/0.3)) }
	add(tones, at(0), e.bar(), func(t float64) float64 { // a pad that changes with each bar
		return 0.3 * swell(t) * (math.Sin(2*math.Pi*4*root*t) + math.Sin(2*math.Pi*6*root*t) + math.Sin(2*math.Pi*9.5*root*t))
	})
	for range 3 { // a voice that keeps no time
		hz := 4 * root * (1 + r.Float64())
		add(tones, at(16*r.Float64()), 0.4, func(t float64) float64 { return 0.5 * min(1, t/0.01) * math.Exp(-t*8) * math.Sin(2*math.Pi*hz*t) })
	}
	if kind == "beatless" {
		return
	}
	for s := 2; s < 16; s += 4 {
		add(hats, at(float64(s)), 0.06, func(t float64) float64 { return 0.5 * math.Exp(-t*60) * r.NormFloat64() })
	}
	if kind == "hats" {
		return
	}
	for _, s := range e.kick {
		add(drums, at(float64(s)), 0.35, func(t float64) float64 {
			return 2 * math.Exp(-t*9) * math.Sin(2*math.Pi*(50*t+4*(1-math.Exp(-t*35))))
		})
	}
	for _, s := range e.snare {
		add(drums, at(float64(s)), 0.2, func(t float64) float64 { return 0.8 * math.Exp(-t*25) * r.NormFloat64() })
	}
	for s := 2; s < 16; s += 3 {
		add(tones, at(float64(s)), 0.2, func(t float64) float64 { return 0.8 * math.Exp(-t*6) * min(1, t/0.005) * math.Sin(2*math.Pi*root*t) })
	}
}

// shape filters or fades bars from to to.
func (e *edged) shape(x []float32, from, to int, kind string) {
	a, b := int(float64(from)*e.bar()*float64(e.rate)), int(float64(to)*e.bar()*float64(e.rate))
	part := x[a:b]
	pass := func(hz float64, high bool) {
		for range 2 {
			dsp.NewPass(hz, float64(e.rate), high).Run(part)
		}
	}
	switch kind {
	case "low":
		pass(150, false)
	case "high":
		pass(400, true)
	case "fade":
		for i := range part {
			part[i] *= 1 - float32(i)/float32(len(part))
		}
	}
}

// want is where the beat begins and ends, by how the track was made: a linear fade is 20 dB
// down, and no longer mixed with, when nine tenths are over.
func (e *edged) want() (from, to float64) {
	intro, outro := e.bars()
	if e.intro == "beatless" {
		from = float64(intro) * e.bar()
	}
	to = float64(intro+middleBars+outro) * e.bar()
	switch e.outro {
	case "beatless":
		to -= float64(outro) * e.bar()
	case "fade":
		to -= 0.1 * float64(outro) * e.bar()
	}
	return from, to
}

// TestEdges: the first and last part with a beat is found within one bar, whatever stands
// around it.
func TestEdges(t *testing.T) {
	grooves := []edged{
		{bpm: 124, kick: []int{0, 4, 8, 12}, snare: []int{4, 12}, rate: 44100},
		{bpm: 174, kick: []int{0, 10}, snare: []int{4, 12}, rate: 48000},
		{bpm: 138.5, kick: []int{0, 4, 8, 12}, rate: 44100},
	}
	if testing.Short() {
		grooves = grooves[:1]
	}
	for g, e := range grooves {
		for i, intro := range []string{"none", "beatless", "low", "high", "hats"} {
			outros := []string{"cold", "beatless", "low", "high", "fade", "hats"}
			e.intro, e.outro, e.seed = intro, outros[(i+2*g)%len(outros)], uint64(10*g+i)
			t.Run(fmt.Sprintf("%v BPM, %s, %s", e.bpm, e.intro, e.outro), func(t *testing.T) { e.check(t) })
		}
	}
}

func (e *edged) check(t *testing.T) {
	t.Parallel()
	m, err := Analyze(context.Background(), play(e.rate, io.EOF, e.render()), 0, nil)
	if err != nil || m.Edges == nil {
		t.Fatalf("%v, %+v", err, m.Edges)
	}
	from, to := e.want()
	a, b := m.Edges.Start, m.Edges.End
	if !a.Beat || !b.Beat || math.Abs(float64(a.FromS)-from) > e.bar() || math.Abs(float64(b.ToS)-to) > e.bar() {
		t.Errorf("beat from %.2f to %.2f (%v, %v), want %.2f to %.2f; %.2f BPM", a.FromS, b.ToS, a.Beat, b.Beat, from, to, m.Tempo.BPM)
	}
	if math.Abs(float64(a.ToS-a.FromS)-60) > 1e-9 || math.Abs(float64(b.ToS-b.FromS)-60) > 1e-9 {
		t.Errorf("parts of %.2f and %.2f s, want 60", a.ToS-a.FromS, b.ToS-b.FromS)
	}
}

// TestEdgesFigures: what cannot be beaten to has a part by what is heard, and each part has the
// figures of its own seconds: tones of 1 kHz at -23 and -13 dBFS, in both channels, read -23
// and -13 LUFS (EBU Tech 3341, cases 1 and 2); one at 40 Hz 20 dB down is -20.0 dB of
// sub, and 0.0 LU of loudness.
func TestEdgesFigures(t *testing.T) {
	const rate = 22050
	dB := func(v float64) float64 { return math.Pow(10, v/20) }
	x := append(make([]float32, 5*rate), tone(rate, 65, 1000, dB(-23))...)
	loud, low := tone(rate, 70, 1000, dB(-13)), tone(rate, 70, 40, dB(-33))
	for i := range loud {
		loud[i] += low[i]
	}
	x = append(append(x, loud...), make([]float32, 5*rate)...)
	m, err := Analyze(context.Background(), play(rate, io.EOF, x, x), 0, nil)
	if err != nil || m.Edges == nil {
		t.Fatalf("%v, %+v", err, m.Edges)
	}
	a, b := m.Edges.Start, m.Edges.End
	if a.Beat || b.Beat || math.Abs(float64(a.FromS)-5) > 1 || math.Abs(float64(b.ToS)-140) > 1 {
		t.Errorf("from %v to %v, beats %v %v", a.FromS, b.ToS, a.Beat, b.Beat)
	}
	if math.Abs(float64(a.LUFS)+23) > 0.1 || math.Abs(float64(b.LUFS)+13) > 0.1 {
		t.Errorf("%v and %v LUFS, want -23 and -13", a.LUFS, b.LUFS)
	}
	if a.SubDB > -40 || math.Abs(float64(b.SubDB)+20) > 0.1 || b.BassDB > -40 {
		t.Errorf("sub %v and %v, bass %v; want none and -20.0", a.SubDB, b.SubDB, b.BassDB)
	}
	m, _ = Analyze(context.Background(), play(rate, io.EOF, make([]float32, 10*rate)), 0, nil)
	if m.Edges != nil {
		t.Errorf("silence has ends: %+v", m.Edges)
	}
}

// BenchmarkEdges is the whole measurement of such a track.
func BenchmarkEdges(b *testing.B) {
	e := edged{bpm: 124, kick: []int{0, 4, 8, 12}, snare: []int{4, 12}, intro: "beatless", outro: "fade", rate: 44100}
	x := e.render()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Analyze(context.Background(), play(44100, io.EOF, x, x), 0, nil); err != nil {
			b.Fatal(err)
		}
	}
}
