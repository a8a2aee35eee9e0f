package studio

import (
	"math"

	"dubgauge/cmd/dubgauge/sound"
	"dubgauge/detect/loudness"
)

// Chain is the one mastering chain that every mix goes through:
//
//	low cut, slow glue compression, soft saturation, look-ahead limiter by true peak
//
// driven so hard that the integrated loudness is LUFS. It has no equaliser: the
// character of the mix is kept. The zero value is not useful; see DefaultChain.
type Chain struct {
	LUFS    float64 // integrated, of the master
	Ceiling float64 // dBTP
	LowCut  float64 // Hz
}

// DefaultChain makes masters as loud as club music is released. Common practice,
// no source.
var DefaultChain = Chain{LUFS: -7.6, Ceiling: -0.3, LowCut: 22}

// The glue compressor: 2:1 above a threshold of the mix's own mean level, with
// 30 ms attack and 200 ms release. Common practice, no source.
const (
	glueRatio   = 2.0
	glueOver    = 1.0 // dB above the mean level at which it starts
	glueAttack  = 0.030
	glueRelease = 0.200
	glueBlock   = 32 // samples that share a gain target
)

// Master finishes a mix; offset is how much louder in LU than others it is made.
// The mix is left as it is.
func (c Chain) Master(mix sound.Audio, offset float64) sound.Audio {
	a := c.prepare(mix)
	c.finish(a, c.drive(a, offset))
	return a
}

// prepare runs the stages before the drive, normalised to -18 LUFS.
func (c Chain) prepare(mix sound.Audio) sound.Audio {
	a := mix.Clone()
	a.Filter(func() *sound.Biquad { return sound.Pass(c.LowCut, true) })
	if l := Loudness(a).Integrated; !math.IsNaN(l) {
		a.Gain(-18 - l)
	}
	glue(a)
	return a
}

// dcCut takes out the constant part that saturation leaves, in Hz.
const dcCut = 8.0

// finish saturates and limits a prepared mix, driven by so many dB.
func (c Chain) finish(a sound.Audio, drive float64) {
	a.Gain(drive)
	a.Both(saturate)
	a.Filter(func() *sound.Biquad { return sound.Pass(dcCut, true) }) // saturation shifts the rest position
	sound.LimitTruePeak(a.L, a.R, sound.Decibels(c.Ceiling))
}

// excerptSeconds of the loudest part are enough to find the drive by.
const excerptSeconds = 12

// drive finds the drive in dB at which the master has the chain's loudness. It
// is looked for on an excerpt, whose distance to the integrated loudness the
// mastering changes little.
func (c Chain) drive(a sound.Audio, offset float64) float64 {
	whole := Loudness(a)
	if math.IsNaN(whole.Integrated) {
		return 0
	}
	from := int((whole.Loudest30Start + 5) * sound.Rate)
	part := a.Part(from, from+excerptSeconds*sound.Rate)
	above := Loudness(part).Integrated - whole.Integrated
	if math.IsNaN(above) {
		part, above = a, 0
	}
	want := c.LUFS + offset + 0.75*above // compression brings loud and quiet parts nearer
	drive := want - whole.Integrated - above
	step := 1.0
	for last := math.NaN(); step <= maxDriveSteps; step++ {
		try := part.Clone()
		c.finish(try, drive)
		miss := want - Loudness(try).Integrated
		if math.Abs(miss) < 0.05 {
			break
		}
		slope := 0.7 // LU gained for a dB of drive; less where the limiter works hard
		if !math.IsNaN(last) {
			slope = 0.5
		}
		last = miss
		drive = math.Min(drive+miss/slope, 40)
	}
	return drive
}

// maxDriveSteps bound the search; it ends after three or four.
const maxDriveSteps = 7

// headroom of the saturation over full scale: what it lets through there, the
// limiter takes.
const headroom = 1.5

// saturate bends peaks softly: a rational approximation of tanh that reaches 1
// at 3, in units of the headroom.
func saturate(x []float64) {
	for i, v := range x {
		v = math.Max(-3, math.Min(3, v/headroom))
		x[i] = headroom * v * (27 + v*v) / (27 + 9*v*v)
	}
}

// glue is the slow compressor, both channels alike.
func glue(a sound.Audio) {
	threshold := a.Power() / 2 * math.Pow(10, glueOver/10)
	attack := 1 - math.Exp(-glueBlock/(glueAttack*sound.Rate))
	release := 1 - math.Exp(-glueBlock/(glueRelease*sound.Rate))
	level, gain := 0.0, 1.0
	for at := 0; at < a.Len(); at += glueBlock {
		p := a.Part(at, at+glueBlock)
		now := p.Power() / 2
		if now > level {
			level += attack * (now - level)
		} else {
			level += release * (now - level)
		}
		want := 1.0
		if level > threshold {
			want = math.Pow(level/threshold, (1/glueRatio-1)/2)
		}
		for i := range p.L {
			g := gain + (want-gain)*float64(i+1)/float64(len(p.L))
			p.L[i] *= g
			p.R[i] *= g
		}
		gain = want
	}
}

// Loudness measures by BS.1770.
func Loudness(a sound.Audio) loudness.Result {
	m := loudness.New(sound.Rate, loudness.Weights(2, 0))
	a.Blocks(m.Write)
	return m.Result()
}
