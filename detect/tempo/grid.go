package tempo

import (
	"math"
	"slices"

	"dubgauge/detect/dsp"
)

// foldBins is the resolution of a folded beat: 5 ms at 120 BPM; a place within is
// interpolated.
const foldBins = 96

// fold adds the curve up over the period 1/hz, counted from the first value,
// into n bins, each value shared between its two nearest bins.
func fold(x []float64, step, hz float64, n int) []float64 {
	out := make([]float64, n)
	turn := step * hz
	for i, v := range x {
		if v == 0 {
			continue
		}
		place := float64(i) * turn
		place = (place - math.Floor(place)) * float64(n)
		j := int(place)
		f := place - float64(j)
		out[j%n] += v * (1 - f)
		out[(j+1)%n] += v * f
	}
	return out
}

// smooth is a circular moving average over 2*half+1 bins with triangular
// weights.
func smooth(x []float64, half int) []float64 {
	n := len(x)
	out := make([]float64, n)
	for i := range out {
		for d := -half; d <= half; d++ {
			w := float64(half+1-max(d, -d)) / float64((half+1)*(half+1))
			out[i] += w * x[(i+d+n)%n]
		}
	}
	return out
}

// What marks the beat among its subdivisions, by the part of the onset curve:
// the kick and the snare; cymbals like the off-beat too well. Common practice,
// no source.
var onBeat = [parts]float64{low: 1, mid: 1, high: 0.15}

// backbeat is the weight of the difference between one beat and the next in the
// middle part: the snare or clap is on every other beat, while what is played on
// the off-beat is played on all. Common practice, no source.
const backbeat = 0.5

// phase is the time of a beat after the first value, in steady seconds, from 0
// to a period.
func (b *reading) phase() float64 {
	hz := b.pulse.hz
	sum := make([]float64, foldBins)
	for p, x := range b.part {
		y := smooth(fold(x, b.step, hz, foldBins), 2)
		top := 1e-300
		for _, v := range y {
			top = max(top, v)
		}
		for i, v := range y {
			sum[i] += onBeat[p] * v / top
		}
	}
	two := smooth(fold(b.part[mid], b.step, hz/2, 2*foldBins), 2)
	top := slices.Max(two)
	for i := range sum {
		sum[i] += backbeat * math.Abs(two[i]-two[i+foldBins]) / max(top, 1e-300)
	}
	best := 0
	for i, v := range sum {
		if v > sum[best] {
			best = i
		}
	}
	return b.peak(b.total, float64(best)/foldBins/hz)
}

// peakReach is how far around its bin the attack of a beat is looked for, in
// seconds.
const peakReach = 0.02

// peak is the centroid of x around the time near within the period, in
// seconds.
func (b *reading) peak(x []float64, near float64) float64 {
	hz := b.pulse.hz
	var w, sum float64
	for i, v := range x {
		d := math.Remainder((float64(i)*b.step-near)*hz, 1) / hz
		if math.Abs(d) < peakReach {
			v *= 1 - d*d/peakReach/peakReach
			w += v
			sum += v * d
		}
	}
	if w > 0 {
		near += sum / w
	}
	return math.Mod(near+1/hz, 1/hz)
}

// grid is the beats of a track.
type grid struct {
	times    []float64 // of the onset curve's peaks, seconds in the track
	strength []float64 // of the onset curve there
	lows     []float64 // of its low part there
	first    int       // the first beat that sounds
	lead     float64   // what is to be added to the times, seconds
}

func (b *reading) grid(fine *envelope) grid {
	var g grid
	for t := b.phase(); t < b.duration(); t += 1 / b.pulse.hz {
		g.times = append(g.times, b.seconds(t))
		g.strength = append(g.strength, sumAround(b.total, t/b.step))
		g.lows = append(g.lows, sumAround(b.part[low], t/b.step))
	}
	g.first = firstSounding(g.strength)
	g.lead, _ = fine.attack(g.times)
	return g
}

// sumAround adds up the five values about a place.
func sumAround(x []float64, place float64) (sum float64) {
	i := int(math.Round(place))
	for _, v := range x[max(0, min(i-2, len(x))):max(0, min(i+3, len(x)))] {
		sum += v
	}
	return sum
}

// soundsAt is the share of the median beat's strength above which a beat is
// taken to sound.
const soundsAt = 0.3

// firstSounding is the first beat that sounds and is followed by two that do
// among the next four.
func firstSounding(strength []float64) int {
	limit := soundsAt * dsp.Median(strength)
	for i, s := range strength {
		if s <= limit || i+4 >= len(strength) {
			continue
		}
		n := 0
		for _, v := range strength[i+1 : i+5] {
			if v > limit {
				n++
			}
		}
		if n >= 2 {
			return i
		}
	}
	return 0
}

// earliest is how far before the track a beat may come out by the error of
// the measurement, in seconds; it is then put at 0.
const earliest = 0.01

// beat is the time of beat i, NaN for one that is not there.
func (g *grid) beat(i int) float64 {
	if i < 0 || i >= len(g.times) {
		return math.NaN()
	}
	t := g.times[i] + g.lead
	if t < -earliest {
		return g.beat(i + 1)
	}
	return max(0, t)
}
