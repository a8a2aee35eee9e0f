package tempo

import "math"

// foldBins is the resolution of a folded beat: 5 ms at 120 BPM; a place within is
// interpolated.
const foldBins = 96

// fold adds the curve up over the period 1/hz, counted from the first value,
// into n bins, each value shared between its two nearest bins.
func fold(x []float64, step, hz float64, n int) []float64 {
	out := make([]float64, n)
	for i, v := range x {
		if v == 0 {
			continue
		}
		place := math.Mod(float64(i)*step*hz, 1) * float64(n)
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

// grid is a beat grid.
type grid struct {
	hz    float64
	phase float64 // time of a beat, seconds from the first value, 0 to 1/hz
	first float64 // time of the first beat that sounds, seconds in the track
}

// What marks the beat among its subdivisions, by the part of the onset curve:
// the kick first, then the snare; cymbals like the off-beat too well. Common
// practice, no source.
var onBeat = [parts]float64{low: 1, mid: 0.5, high: 0.15}

func (a *analysis) findGrid(hz float64) grid {
	g := grid{hz: hz}
	sum := make([]float64, foldBins)
	for p, x := range a.part {
		y := smooth(fold(x, a.step, hz, foldBins), 2)
		top := 1e-300
		for _, v := range y {
			top = max(top, v)
		}
		for i, v := range y {
			sum[i] += onBeat[p] * v / top
		}
	}
	best := 0
	for i, v := range sum {
		if v > sum[best] {
			best = i
		}
	}
	g.phase = a.peak(hz, float64(best)/foldBins/hz)
	g.first = a.firstBeat(g)
	return g
}

// peakReach is how far around its bin the attack of a beat is looked for, in
// seconds.
const peakReach = 0.02

// peak is the centroid of the onset curve around the time near within the
// period, in seconds.
func (a *analysis) peak(hz, near float64) float64 {
	var w, sum float64
	for i, v := range a.total {
		d := math.Remainder((float64(i)*a.step-near)*hz, 1) / hz
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

// lead is by how much, in seconds, the centroid of the onset curve comes before
// the attack of a beat: the logarithm lets a spectrum rise as soon as it
// reaches the sound. Measured on synthesised kicks, snares and hats.
const lead = 0.005

// soundsAt is the share of the median beat's strength above which a beat is
// taken to sound.
const soundsAt = 0.3

// firstBeat is the first beat that sounds.
func (a *analysis) firstBeat(g grid) float64 {
	strength := []float64{}
	for t := g.phase; t < float64(len(a.total))*a.step; t += 1 / g.hz {
		i, s := int(math.Round(t/a.step)), 0.0
		for d := -2; d <= 2; d++ {
			if j := i + d; j >= 0 && j < len(a.total) {
				s += a.total[j]
			}
		}
		strength = append(strength, s)
	}
	limit := soundsAt * median(strength)
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
			return a.seconds(g.phase+float64(i)/g.hz) + lead
		}
	}
	return a.seconds(g.phase) + lead
}
