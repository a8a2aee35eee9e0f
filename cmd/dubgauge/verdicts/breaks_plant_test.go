package main

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/cmd/dubgauge/studio"
	"dubgauge/detect/continuity"
)

// planter has a track to plant in.
type planter struct {
	x    stereo
	grid continuity.Grid // of the track as it was
	r    *rand.Rand
}

// planted is what was planted: the reason codes that are right for it, and where, in
// seconds; NaN is the whole track. No codes: it could not be planted here.
type planted struct {
	codes []string
	at    float64
	still bool // what looks for it does not go by the beat, which is not measured again
	edit  *edited
	// from is the place in the whole track, in seconds, that is told by the beat: NaN for
	// any, 0 where the beat is not asked.
	from float64
	// left is how much of the music is left out, in seconds.
	left float64
}

// edited is what an edit does between two samples; nil where nothing is known of its limit.
type edited struct {
	*change
	from, to int
	beat     bool // on the beat at both ends it is the arrangement's
}

var nothing = planted{}

// soundLeast is the level, RMS in dBFS of 50 ms, of what counts as sound: what is quieter
// a master of -8 LUFS covers, and a hole in it is none.
const soundLeast = -35.0

func level(x ...[]float32) float64 {
	sum, n := 1e-20, 0
	for _, c := range x {
		for _, v := range c {
			sum += float64(v) * float64(v)
		}
		n = max(n, len(c))
	}
	return 10 * math.Log10(sum/float64(max(1, n)))
}

// place picks a place anywhere in the track where the given channels sound on both sides
// of a stretch of so many samples, and at least margin samples from the ends; -1 if
// there is none.
func (p *planter) place(length, margin int, channels ...int) int {
	const side = sound.Rate / 20
	n := len(p.x[0]) - length - 2*margin
	if margin < side || n < 1 {
		return -1
	}
	for range 500 {
		at := margin + p.r.IntN(n)
		sounds := true
		for _, c := range channels {
			sounds = sounds && min(level(p.x[c][at-side:at]), level(p.x[c][at+length:at+length+side])) >= soundLeast
		}
		if sounds {
			return at
		}
	}
	return -1
}

// offBeat picks one that is not within 25 ms of a half beat.
func (p *planter) offBeat(length, margin int) int {
	for range 200 {
		at := p.place(length, margin, 0, 1)
		half := 30 / p.grid.BPM
		if at < 0 || p.grid.BPM == 0 || math.Abs(math.Remainder(timeOf(at)-p.grid.FirstBeat, half)) > 0.025 {
			return at
		}
	}
	return -1
}

// inBar is the sample of a beat but the first of the bar that begins behind a time, where both
// channels sound on both its sides; -1 where no bar line is known.
func (p *planter) inBar(t float64) int {
	const side = sound.Rate / 20
	at := p.bar(t)
	if !p.grid.BarKnown || at < 0 {
		return -1
	}
	at += samples(float64(1+p.r.IntN(3)) * 60 / p.grid.BPM)
	if at < side || at+side > len(p.x[0]) || min(level(p.x[0][at-side:at], p.x[1][at-side:at]), level(p.x[0][at:at+side], p.x[1][at:at+side])) < soundLeast+10 {
		return -1
	}
	return at
}

// bar is the sample of the first bar line after a time, or of every fourth beat where none is
// known; -1 without a beat.
func (p *planter) bar(t float64) int {
	if p.grid.BPM == 0 {
		return -1
	}
	bar, first := 240/p.grid.BPM, p.grid.FirstBeat
	if p.grid.BarKnown {
		first = p.grid.FirstBar
	}
	at := samples(first + math.Ceil((t-first)/bar)*bar)
	if at < 0 || at+sound.Rate > len(p.x[0]) {
		return -1
	}
	return at
}

func samples(s float64) int      { return int(math.Round(s * sound.Rate)) }
func timeOf(at int) float64      { return float64(at) / sound.Rate }
func decibel(db float64) float32 { return float32(math.Pow(10, db/20)) }

func amplify(x []float32, g float32) {
	for i := range x {
		x[i] *= g
	}
}

// plant is a row of the table.
type plant struct {
	name  string
	lossy bool // looked for after an encoder too
	do    func(p *planter) planted
}

const edgeRoom = sound.Rate / 2

func holeOf(seconds float64, dither bool, channels ...int) func(*planter) planted {
	return func(p *planter) planted {
		n := samples(seconds)
		at := p.place(n, edgeRoom, channels...)
		if at < 0 {
			return nothing
		}
		for _, c := range channels {
			for i := range p.x[c][at : at+n] {
				p.x[c][at+i] = 0
				if dither {
					p.x[c][at+i] = float32(math.Round(p.r.Float64()-p.r.Float64())) / 32768
				}
			}
		}
		codes := []string{"hole"}
		if len(channels) == 1 {
			codes = append(codes, "dead channel")
		}
		return planted{codes: codes, at: timeOf(at)}
	}
}

func gainOf(db, seconds float64, c int) func(*planter) planted {
	return func(p *planter) planted {
		if !p.wide() {
			return nothing
		}
		if seconds == 0 {
			amplify(p.x[c], decibel(db))
			return planted{codes: []string{"weak channel"}, at: math.NaN(), still: true}
		}
		n := samples(seconds)
		at := p.place(n, edgeRoom, 0, 1)
		if at < 0 || 3*n > len(p.x[0]) {
			return nothing
		}
		amplify(p.x[c][at:at+n], decibel(db))
		return planted{codes: []string{"weak channel"}, at: timeOf(at), still: true, edit: &edited{gainChange(c, db), at, at + n, true}}
	}
}

// wide tells that the track has two channels worth the name, both of which sound.
func (p *planter) wide() bool {
	return min(level(p.x[0]), level(p.x[1])) > -30 && math.Abs(level(p.x[0])-level(p.x[1])) < 1.5
}

func lateOf(n, c int) func(*planter) planted {
	return func(p *planter) planted {
		p.x[c] = append(make([]float32, n), p.x[c][:len(p.x[c])-n]...)
		return planted{codes: []string{"channel delay"}, at: math.NaN(), still: true}
	}
}

func twiceOf(seconds float64) func(*planter) planted {
	return func(p *planter) planted {
		n := samples(seconds * (0.8 + 0.4*p.r.Float64()))
		at := p.offBeat(0, n+edgeRoom)
		if at < 0 {
			return nothing
		}
		for c := range p.x {
			p.x[c] = slices.Insert(p.x[c], at, slices.Clone(p.x[c][at-n:at])...)
		}
		return planted{codes: []string{"skip"}, at: timeOf(at), from: math.NaN()}
	}
}

func foreignOf(n int, sample func(r *rand.Rand) uint16) func(*planter) planted {
	return func(p *planter) planted {
		at := p.place(n, edgeRoom, 0, 1)
		if at < 0 {
			return nothing
		}
		for c := range p.x {
			for i := range n {
				p.x[c][at+i] = float32(int16(sample(p.r))) / 32768
			}
		}
		return planted{codes: []string{"damaged"}, at: timeOf(at), still: true}
	}
}

func anyBytes(r *rand.Rand) uint16 { return uint16(r.Uint32()) }

func textBytes(r *rand.Rand) uint16 {
	const text = "the quick brown fox jumps over 0123456789 lazy dogs,\n\t<tag key=\"x\">and so on</tag>\n"
	return uint16(text[r.IntN(len(text))]) | uint16(text[r.IntN(len(text))])<<8
}

// plants are the faults of the table, besides those of the studio.
var plants = []plant{
	{"hole of 1.5 ms", false, holeOf(0.0015, false, 0, 1)},
	{"hole of 5 ms", false, holeOf(0.005, false, 0, 1)},
	{"hole of 20 ms", false, holeOf(0.02, false, 0, 1)},
	{"hole of 0.1 s", false, holeOf(0.1, false, 0, 1)},
	{"hole of 0.3 s", true, holeOf(0.3, false, 0, 1)},
	{"hole of 1 s", true, holeOf(1, false, 0, 1)},
	{"hole of 8 s", true, holeOf(8, false, 0, 1)},
	{"hole of 64 KiB", false, holeOf(16384./sound.Rate, false, 0, 1)},
	{"hole of 128 KiB", false, holeOf(32768./sound.Rate, false, 0, 1)},
	{"hole of 1 s with dither", false, holeOf(1, true, 0, 1)},
	{"hole of 20 ms, one channel", false, holeOf(0.02, false, 1)},
	{"hole of 0.1 s, one channel", false, holeOf(0.1, false, 0)},
	{"one channel dead for 1 s", true, holeOf(1, false, 0)},
	{"one channel dead for 8 s", true, holeOf(8, false, 1)},
	{"one channel dead from a place on", true, func(p *planter) planted {
		at := p.place(0, 2*sound.Rate, 0, 1)
		if at < 0 {
			return nothing
		}
		clear(p.x[1][at:])
		return planted{codes: []string{"dead channel"}, at: timeOf(at)}
	}},
	{"zeros to the end", true, func(p *planter) planted {
		at := p.offBeat(0, 5*sound.Rate)
		if at < 0 {
			return nothing
		}
		clear(p.x[0][at:])
		clear(p.x[1][at:])
		return planted{codes: []string{"hole", "cut end"}, at: timeOf(at)}
	}},
	{"cut start", true, func(p *planter) planted {
		at := p.offBeat(0, 2*sound.Rate)
		if at < 0 || at > len(p.x[0])-30*sound.Rate {
			return nothing
		}
		p.x = stereo{p.x[0][at:], p.x[1][at:]}
		return planted{codes: []string{"cut start"}, at: 0, from: timeOf(at)}
	}},
	{"cut end", true, func(p *planter) planted {
		at := p.offBeat(0, 2*sound.Rate)
		if at < 30*sound.Rate {
			return nothing
		}
		p.x = stereo{p.x[0][:at], p.x[1][:at]}
		return planted{codes: []string{"cut end"}, at: timeOf(at)}
	}},
	{"cut fade", true, func(p *planter) planted {
		n := samples(8)
		at := p.offBeat(0, n+2*sound.Rate)
		if at < 30*sound.Rate || level(p.x[0][at-2205:at]) < -25 {
			return nothing
		}
		down := 8 + 14*p.r.Float64()
		p.x = stereo{p.x[0][:at], p.x[1][:at]}
		for c := range p.x {
			for i := range n {
				p.x[c][at-n+i] *= decibel(-down * float64(i) / float64(n))
			}
		}
		return planted{codes: []string{"cut end"}, at: timeOf(at)}
	}},
	{"128 KiB of data", false, foreignOf(32768, anyBytes)},
	{"4 KiB of data", false, foreignOf(1024, anyBytes)},
	{"64 KiB of text", false, foreignOf(16384, textBytes)},
	{"right 2.5 dB down", true, gainOf(-2.5, 0, 1)},
	{"left 2 dB down", true, gainOf(-2, 0, 0)},
	{"left 6 dB down", true, gainOf(-6, 0, 0)},
	{"right 3 dB down for 20 s", true, gainOf(-3, 20, 1)},
	{"left 3 dB down for 8 s", true, gainOf(-3, 8, 0)},
	{"right inverted for 8 s", true, func(p *planter) planted {
		at := p.place(samples(8), edgeRoom, 0, 1)
		if at < 0 {
			return nothing
		}
		amplify(p.x[1][at:at+samples(8)], -1)
		return planted{codes: []string{"polarity"}, at: timeOf(at), still: true, edit: &edited{rightTurns, at, at + samples(8), false}}
	}},
	{"right 5 samples late", true, lateOf(5, 1)},
	{"right 20 samples late", true, lateOf(20, 1)},
	{"left 77 samples late", true, lateOf(77, 0)},
	{"0.1 s twice", false, twiceOf(0.1)},
	{"0.7 s twice", false, twiceOf(0.7)},
	{"32 KiB twice", false, func(p *planter) planted {
		const n = 8192
		at := p.offBeat(n, n+edgeRoom)
		if at < 0 {
			return nothing
		}
		for c := range p.x {
			copy(p.x[c][at:at+n], p.x[c][at-n:at])
		}
		return planted{codes: []string{"skip"}, at: timeOf(at), from: math.NaN()}
	}},
}

// inside are cuts where a bar does not begin. They come last: the rows before keep their dice.
var inside = []plant{
	{"cut start on a beat inside a bar", false, func(p *planter) planted {
		at := p.inBar(p.x.seconds() * (0.1 + 0.4*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		p.x = stereo{p.x[0][at:], p.x[1][at:]}
		return planted{codes: []string{"cut start"}, at: 0}
	}},
	{"cut end on a beat inside a bar", false, func(p *planter) planted {
		at := p.inBar(p.x.seconds() * (0.5 + 0.4*p.r.Float64()))
		if at < 0 {
			return nothing
		}
		p.x = stereo{p.x[0][:at], p.x[1][:at]}
		return planted{codes: []string{"cut end"}, at: timeOf(at)}
	}},
}

// studioPlants are the defects over time of the studio that are breaks.
func studioPlants(where studio.Where) []plant {
	var out []plant
	for _, d := range studio.Defects() {
		codes := rightCodes(d.Name)
		if d.Group != studio.TimeGroup || !slices.ContainsFunc(codes, func(c string) bool { return slices.Contains(breakCodes, c) }) {
			continue
		}
		out = append(out, plant{"studio: " + d.Name, true, func(p *planter) planted {
			whole := p.x.seconds()
			p.x = single(d.Master(double(p.x), where))
			what := planted{codes: codes, at: math.NaN(), still: stillCode(codes)}
			middle := int(((where.From+where.To)/2 + 0.137*where.Bar) * sound.Rate) // as the studio has it
			switch {
			case strings.HasPrefix(d.Name, "abrupt start"):
				what.from = where.From + 0.137*where.Bar
			case codes[0] == "skip":
				what.from, what.left = math.NaN(), max(0, whole-p.x.seconds())
			case strings.HasPrefix(d.Name, "channels swapped"):
				what.edit = &edited{sideTurns, middle, middle + samples(8), true}
			case strings.HasPrefix(d.Name, "polarity flipped"):
				what.edit = &edited{rightTurns, middle, middle + samples(8), false}
			}
			return what
		}})
	}
	return out
}

// stillCode tells that what gives the codes does not go by the beat.
func stillCode(codes []string) bool {
	return slices.Contains([]string{"weak channel", "channel delay", "polarity", "channels swapped"}, codes[0])
}

// breakCodes are the reason codes of package continuity.
var breakCodes = []string{"hole", "dead channel", "weak channel", "polarity", "channel delay", "cut start", "cut end", "skip", "channels swapped"}
