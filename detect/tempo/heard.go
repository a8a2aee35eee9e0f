package tempo

// Beat is a beat of the grid: where, in seconds, and whether it is heard, as one of a row
// that something plays on the beat or between.
type Beat struct {
	At    float64
	Heard bool
}

// A voice is heard on a beat where it is heardShare as strong as on its strong ones (which
// heardLoud of the beats stay under) and standsOut from its surroundings; a beat carries on
// where one voice is heard on heardOf of a row of four. Voices are the parts of the onset
// curve by themselves, on the beat and between, and all together on the beat, so that an
// intro whose bass is filtered out, or all but the bass, is as good as the whole.
const (
	heardShare = 0.15
	heardLoud  = 0.8
	heardOf    = 3
)

// heard are the beats of a reading, the first at phase, a steady time in seconds; lead is
// what is to be added to the onset curve's times.
func (b *reading) heard(phase, lead float64) []Beat {
	var beats []Beat
	for t := phase; t < b.duration(); t += 1 / b.pulse.hz {
		beats = append(beats, Beat{At: b.seconds(t) + lead})
	}
	carried := make([]bool, len(beats))
	half := 0.5 / b.pulse.hz
	carry(carried, b.voice(b.total, phase, len(beats)))
	for _, x := range b.part {
		carry(carried, b.voice(x, phase, len(beats)))
		carry(carried, b.voice(x, phase+half, len(beats)))
	}
	for i := range beats {
		beats[i].Heard = carried[i]
	}
	return beats
}

// voice tells on which of n beats, the first at a steady time, a curve stands out.
func (b *reading) voice(x []float64, first float64, n int) []bool {
	strength, out := make([]float64, n), make([]bool, n)
	period := 1 / (b.pulse.hz * b.step) // in values
	for i := range strength {
		strength[i] = sumAround(x, first/b.step+float64(i)*period)
	}
	limit := heardShare * quantile(strength, heardLoud)
	for i, s := range strength {
		mid := first/b.step + float64(i)*period
		from, to := max(0, int(mid-period/2)), min(len(x), int(mid+period/2))
		sum := 0.0
		for _, v := range x[min(from, to):to] {
			sum += v
		}
		out[i] = s > limit && s*float64(to-from) > standsOut*aroundValues*sum
	}
	return out
}

// carry marks the beats that a voice carries: those between the first and the last heard of
// each row of four.
func carry(carried, heard []bool) {
	for i := range heard {
		if !heard[i] {
			continue
		}
		row, n, last := heard[i:min(len(heard), i+bar)], 0, 0
		for k, h := range row {
			if h {
				n, last = n+1, k
			}
		}
		for k := range last + 1 {
			carried[i+k] = carried[i+k] || n >= heardOf
		}
	}
}

// beats are those of the whole track: of each side with a tempo of its own, where there are
// sides. opening is the grid of the first.
func (b *reading) beats(sides []side, opening *grid) []Beat {
	if sides == nil {
		return b.heard(opening.phase, opening.lead)
	}
	all := sides[0].heard(opening.phase, opening.lead)
	for i := range sides[1:] {
		s := &sides[1+i]
		phase, _ := s.phase()
		all = append(all, s.heard(phase, opening.lead)...)
	}
	return all
}

// fromCymbals is the first beat that sounds or, where cymbals play on before it, on the beat or
// between, for a bar at least and without a pause of one, the first beat of those: drums that begin
// without the kick have little strength, and pads have none that high.
func (b *reading) fromCymbals(phase float64, sounds []bool) int {
	first := firstSounding(sounds)
	carried := make([]bool, len(sounds))
	for _, from := range []float64{phase, phase + 0.5/b.pulse.hz} {
		carry(carried, b.voice(b.part[high], from, len(sounds)))
	}
	start := first
	for i := first - 1; i >= 0 && start-i <= bar; i-- {
		if carried[i] {
			start = i
		}
	}
	if first-start < bar {
		return first
	}
	for start > 0 && sounds[start-1] {
		start--
	}
	return start
}
