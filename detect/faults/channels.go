package faults

import (
	"fmt"
	"math"

	"dubgauge/detect/reason"
)

const (
	// deadDB and deadAgainst: a channel is dead when its level is under the first,
	// or this far under the other's.
	deadDB, deadAgainst = -80.0, 50.0
	// invertedCorrelation is the correlation of left and right below which the
	// channels are taken for swapped in polarity. Wide mixes lie above 0, width by
	// delay or chorus down to about -0.2 (common practice); half of the power is
	// lost in mono at -0.5 for equal channels.
	invertedCorrelation = -0.4
	// lowShare is the least share of the low end in the whole power for its
	// polarity to matter.
	lowShare = 0.01
	// lowCorner is the upper edge of the low end, in hertz.
	lowCorner = 150.0
	// monoDB is the level of the difference of the channels against their sum under
	// which they are equal for the ear: dither on each leaves about -80 in music.
	monoDB = -70.0
)

// channelSums gathers what tells the channels' levels and their relation.
type channelSums struct {
	sum, energy       []float64
	cross, difference float64 // of the first two channels
	low               [2]lowPass
	lowSum, lowEnergy [2]float64
	lowCross          float64
	lowCells          int64
	rest              []rest // a channel each
}

func newChannelSums(channels int, cellRate float64) channelSums {
	s := channelSums{sum: make([]float64, channels), energy: make([]float64, channels), rest: make([]rest, channels)}
	for c := range s.rest {
		s.rest[c] = newRest(cellRate)
	}
	s.low[0] = newLowPass(lowCorner, cellRate)
	s.low[1] = s.low[0]
	return s
}

func (s *channelSums) chunk(buf [][]float32, stats [][]cell, cells, past, n int) {
	for c := range stats {
		for i := range cells {
			s.sum[c] += float64(stats[c][pastCells+i].sum)
			s.energy[c] += float64(stats[c][pastCells+i].energy)
			s.rest[c].add(&stats[c][pastCells+i])
		}
	}
	if len(buf) < 2 {
		return
	}
	cross, difference := dot(buf[0][past:past+n], buf[1][past:past+n])
	s.cross += cross
	s.difference += difference
	for i := range cells {
		a, b := &stats[0][pastCells+i], &stats[1][pastCells+i]
		l := s.low[0].next(float64(a.sum) / float64(a.n))
		r := s.low[1].next(float64(b.sum) / float64(b.n))
		s.lowSum[0] += l
		s.lowSum[1] += r
		s.lowEnergy[0] += l * l
		s.lowEnergy[1] += r * r
		s.lowCross += l * r
	}
	s.lowCells += int64(cells)
}

// dot gives the sum of l*r and of (l-r) squared. Partial sums of single precision
// are kept short.
func dot(l, r []float32) (cross, difference float64) {
	const part = 64
	for len(l) > 0 {
		n := min(part, len(l))
		a, b := l[:n], r[:n]
		var c, d float32
		for i, v := range a {
			w := b[i]
			c += v * w
			d += (v - w) * (v - w)
		}
		cross += float64(c)
		difference += float64(d)
		l, r = l[n:], r[n:]
	}
	return cross, difference
}

// lowPass is a Butterworth low-pass of second order in transposed direct form II,
// from the bilinear transform:
//
//	K = tan(pi f/fs); a0 = 1 + sqrt(2) K + K^2
//	b = K^2/a0 (1, 2, 1); a1 = 2 (K^2-1)/a0; a2 = (1 - sqrt(2) K + K^2)/a0
type lowPass struct{ b, a1, a2, z1, z2 float64 }

func newLowPass(corner, rate float64) lowPass {
	k := math.Tan(math.Pi * min(corner/rate, 0.49))
	a0 := 1 + math.Sqrt2*k + k*k
	return lowPass{b: k * k / a0, a1: 2 * (k*k - 1) / a0, a2: (1 - math.Sqrt2*k + k*k) / a0}
}

func (p *lowPass) next(x float64) float64 {
	y := p.b*x + p.z1
	p.z1 = 2*p.b*x - p.a1*y + p.z2
	p.z2 = p.b*x - p.a2*y
	return y
}

// balance judges levels and relation of the channels.
func (m *Meter) balance(r *Result) {
	s := &m.channels
	n := float64(max(1, m.at))
	if len(s.sum) < 2 {
		return
	}
	var power [2]float64
	for c := range power {
		mean := s.sum[c] / n
		power[c] = max(0, s.energy[c]/n-mean*mean)
	}
	loud, soft := 0, 1
	if power[1] > power[0] {
		loud, soft = 1, 0
	}
	if 10*math.Log10(power[loud]) < silenceDB {
		return
	}
	down := 10 * math.Log10(power[loud]/power[soft])
	if 10*math.Log10(power[soft]) < deadDB || down > deadAgainst {
		r.add(reason.DeadChannel, nowhere, "the %s channel is dead, the other at %.1f dBFS RMS", channelName(soft, len(s.sum)), 10*math.Log10(power[loud]))
		return
	}
	if 10*math.Log10(s.difference/n/(power[0]+power[1])) < monoDB {
		r.add(reason.Mono, nowhere, "left and right are the same")
		return
	}
	m.polarity(r, power, n)
}

// polarity judges the correlation of left and right, without their DC, in the low
// end and in the rest: as the low end is most of the power, it alone would decide
// over both.
func (m *Meter) polarity(r *Result, power [2]float64, n float64) {
	s := &m.channels
	whole := s.cross/n - s.sum[0]/n*s.sum[1]/n
	k := float64(max(1, s.lowCells))
	cross := s.lowCross/k - s.lowSum[0]/k*s.lowSum[1]/k
	var low, rest [2]float64
	for c := range low {
		mean := s.lowSum[c] / k
		low[c] = max(0, s.lowEnergy[c]/k-mean*mean)
		rest[c] = max(0, power[c]-low[c])
	}
	lowDown := low[0]+low[1] >= lowShare*(power[0]+power[1]) && correlation(cross, low) <= invertedCorrelation
	restDown := correlation(whole-cross, rest) <= invertedCorrelation
	c := correlation(whole, power)
	switch {
	case lowDown && !restDown:
		r.add(reason.PolarityLow, nowhere, "below %.0f Hz left and right work against each other: correlation %.2f",
			lowCorner, correlation(cross, low)) // what is lost in mono is a figure of its own
	case c <= invertedCorrelation:
		r.add(reason.Polarity, nowhere, "left and right work against each other: correlation %.2f, %s", c, lost(monoLoss(whole, power)))
	}
}

// correlation is <LR> / sqrt(<LL> <RR>), 0 where a channel is silent.
func correlation(cross float64, power [2]float64) float64 {
	if power[0] <= 0 || power[1] <= 0 {
		return 0
	}
	return cross / math.Sqrt(power[0]*power[1])
}

// monoLoss is the level of (L+R)/2 against the mean power of both, in dB as a
// positive number, at most 60:
//
//	-10 log10((1 + 2<LR>/(<LL>+<RR>)) / 2)
func monoLoss(cross float64, power [2]float64) float64 {
	return min(60, -10*math.Log10(max(0, (1+2*cross/(power[0]+power[1]))/2)))
}

// lost says how much of the whole is, of a loss in dB.
func lost(dB float64) string {
	if reason.NothingLeft(-dB) {
		return "nothing of the whole is left in mono"
	}
	return fmt.Sprintf("%.1f dB of the whole lost in mono", dB)
}

// channelName words a channel's place.
func channelName(c, n int) string {
	if n == 1 {
		return "only"
	}
	names := [...]string{"left", "right", "third", "fourth", "fifth", "sixth", "seventh", "eighth"}
	return names[min(c, len(names)-1)]
}
