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
	phase    float64   // of the first of times, steady seconds
	chance   float64   // that the beat is there and not between
	times    []float64 // of the onset curve's peaks, seconds in the track
	strength []float64 // of the onset curve there
	first    int       // the first beat that sounds
	lead     float64   // what is to be added to the times, seconds
}

func (b *reading) grid(fine *envelope) grid {
	var g grid
	g.phase, g.chance = b.phase()
	for t := g.phase; t < b.duration(); t += 1 / b.pulse.hz {
		g.times = append(g.times, b.seconds(t))
		g.strength = append(g.strength, sumAround(b.total, t/b.step))
	}
	g.lead = fine.attack(g.times)
	g.first = b.fromCymbals(g.phase, g.sounding(b, fine))
	return g
}

// aroundValues is how many values of the curve make a beat: 29 ms.
const aroundValues = 5

// sumAround adds up the aroundValues about a place.
func sumAround(x []float64, place float64) (sum float64) {
	i := int(math.Round(place))
	for _, v := range x[max(0, min(i-aroundValues/2, len(x))):max(0, min(i+aroundValues/2+1, len(x)))] {
		sum += v
	}
	return sum
}

// A beat is strong enough from this share of the median beat, and from that share of the
// one that loudShare of the beats stay under: where the drums play for less than half of
// the track, the median is not of them.
const (
	soundsAt     = 0.3
	soundsAtLoud = 0.2
	loudShare    = 0.8
)

// quantile is the value that a share of x stays under.
func quantile(x []float64, share float64) float64 {
	if len(x) == 0 {
		return 0
	}
	return slices.Sorted(slices.Values(x))[int(share*float64(len(x)-1))]
}

// A beat is marked where it is standsOut times as strong as the mean of its surroundings,
// half a beat to both sides (3 where sixteenths are played alike, 1 to 1.6 in pads), or
// where the sound rises by standsRise of its mean: chords on most sixteenths.
const (
	standsOut  = 2
	standsRise = 0.25
)

// sounding tells which beats sound: those that are strong enough and marked, so that
// pads before the drums are not taken for beats.
func (g *grid) sounding(b *reading, fine *envelope) []bool {
	limit := max(soundsAt*dsp.Median(g.strength), soundsAtLoud*quantile(g.strength, loudShare))
	half := 0.5 / b.pulse.hz
	out := make([]bool, len(g.strength))
	for i, s := range g.strength {
		if s <= limit {
			continue
		}
		mid := (g.phase + float64(i)/b.pulse.hz) / b.step
		around := b.total[max(0, int(mid-half/b.step)):min(len(b.total), int(mid+half/b.step))]
		sum := 0.0
		for _, v := range around {
			sum += v
		}
		out[i] = s*float64(len(around)) > standsOut*aroundValues*sum || fine.rise(g.times[i]+g.lead, half) > standsRise
	}
	return out
}

// firstSounding is the first beat that sounds and is followed by two that do
// among the next four.
func firstSounding(sounds []bool) int {
	for i, s := range sounds {
		if !s || i+4 >= len(sounds) {
			continue
		}
		n := 0
		for _, v := range sounds[i+1 : i+5] {
			if v {
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
