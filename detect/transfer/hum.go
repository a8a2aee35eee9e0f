package transfer

import (
	"math"
	"math/cmplx"
)

const (
	// humQuiet is the share of the frames, those with the least around a line, in which
	// the line is measured.
	humQuiet = 0.15
	// humStands is how far a line of hum must stand over what lies beside it there.
	humStands = 3.0 // dB
	// humFalls is how far the quietest twentieth of all frames may lie below the line's
	// level: hum never stops, notes do.
	humFalls = 5.0 // dB
	// humCoherent is the least agreement of the advance of the line's phase from frame
	// to frame, 1 for a pure tone and 0 for noise.
	humCoherent = 0.5
	// humOff is how far the fundamental may lie from 50 or 60 Hz: grids hold that
	// (common practice), and G1 lies 1 Hz below, B1 1.7 Hz above.
	humOff = 0.2 // Hz
	// humLines is the number of lines without which it is taken for a note, unless the
	// fundamental stands out by humPlain.
	humLines = 2
	humPlain = 6.0 // dB
	// humTogether is how well the phases of a series must hold together, by the
	// measure of together, where no lines stand out; humOffTogether how near to the
	// mains, in hertz, and humSteady how many of the lines must never stop. Of 60 clean
	// masters used for fitting none has all three; of the two closest one has 0.37 and
	// no steady line, one 0.36 at 0.2 Hz off.
	humTogether, humOffTogether, humSteady = 0.37, 0.17, 3
	// humLoudest is the level from which a tone is taken for music, dBFS: 28 dB under a
	// club master no one lets a hum pass.
	humLoudest = -36.0
)

// mainsLine is what a line of a series has over the track.
type mainsLine struct {
	level, stands, falls float64    // dB
	coherent, off        float64    // 0 to 1; Hz from its place
	advance              complex128 // mean of the phase's advance over a hop past that of its place
}

func (l *low) mainsLine(series, h int, frames []lowFrame) mainsLine {
	around, all := make([]float64, len(frames)), make([]float64, len(frames))
	for i := range frames {
		n := &frames[i].lines[series][h]
		around[i], all[i] = float64(n.around), float64(n.power)
		if i > 0 { // both frames that a phase advances between must be quiet
			around[i] = max(around[i], float64(frames[i-1].lines[series][h].around))
		}
	}
	cut := share(append([]float64{}, around...), humQuiet)
	var power, beside []float64
	var advance complex128
	turns := 0.0
	for i := 1; i < len(frames); i++ {
		if around[i] > cut {
			continue
		}
		n := &frames[i].lines[series][h]
		power, beside = append(power, float64(n.power)), append(beside, around[i])
		for c, x := range n.x {
			a, b := complex128(frames[i-1].lines[series][h].x[c]), complex128(x)
			b *= complex(real(a), -imag(a))
			if size := math.Hypot(real(b), imag(b)); size > 0 {
				advance += b / complex(size, 0)
				turns++
			}
		}
	}
	if len(power) == 0 {
		return mainsLine{}
	}
	level := middle(power)
	m := mainsLine{
		level: 10 * math.Log10(level+1e-20), stands: 10 * math.Log10((level+1e-20)/(middle(beside)+1e-20)),
		falls: 10 * math.Log10((level+1e-20)/(share(all, 0.05)+1e-20)),
	}
	if turns > 0 {
		seconds := lowHop / l.rate
		m.coherent = math.Hypot(real(advance), imag(advance)) / turns
		turn := math.Atan2(imag(advance), real(advance)) - 2*math.Pi*mains[series]*float64(h+1)*seconds
		m.advance = cmplx.Rect(m.coherent, turn)
		m.off = math.Remainder(turn, 2*math.Pi) / (2 * math.Pi * seconds)
	}
	return m
}

// hum is what a series of lines has over the track.
type hum struct {
	hz    float64 // of the fundamental
	level float64 // of all its lines, RMS in dBFS; NaN where there is no hum
	lines int
	at    float64 // seconds: where it stands out most
}

// beatNear in hertz is how near to a multiple of the beat the mains must lie for a loop
// to be taken for hum: a line is 1.3 Hz wide, and its phase tells 0.05 Hz apart.
const beatNear = 0.05

// hides tells that hum cannot be told from the music: what repeats with every beat is
// made of lines at multiples of the beat, which never stop and hold together as hum
// does. At 125 BPM the 24th lies at 50 Hz, at 120 and 150 BPM others.
func (b Beat) hides(mains float64) bool {
	if !(b.BPM > 0) {
		return false
	}
	beat := b.BPM / 60
	return math.Abs(mains-math.Round(mains/beat)*beat) <= beatNear
}

// hum looks for the series of lines of one of the mains: lines that stand out by
// themselves, or else a series that holds together.
func (l *low) hum(series int) hum {
	none := hum{level: math.NaN()}
	from, to := trimmed(len(l.frames), lowHop/l.rate)
	if float64(to-from)*lowHop/l.rate < floorLeast {
		return none
	}
	var lines []mainsLine
	for h := range harmonics {
		if l.bin[series][h] > 0 {
			lines = append(lines, l.mainsLine(series, h, l.frames[from:to]))
		}
	}
	out, ok := standing(lines, mains[series])
	if !ok {
		out, ok = holding(lines, mains[series], lowHop/l.rate)
	}
	if !ok || out.level > humLoudest {
		return none
	}
	out.at = float64(l.quietest(series, from, to)) * lowHop / l.rate
	return out
}

// standing is the hum of lines each of which is one.
func standing(lines []mainsLine, base float64) (out hum, ok bool) {
	power, off, weight, plain := 0.0, 0.0, 0.0, false
	for h, m := range lines {
		if !m.isHum(h + 1) {
			continue
		}
		out.lines++
		plain = plain || h == 0 && m.stands >= humPlain
		power += math.Pow(10, m.level/10)
		off, weight = off+m.off, weight+float64(h+1)
	}
	out.level, out.hz = 10*math.Log10(power+1e-20), base+off/weight
	return out, out.lines >= humLines || plain
}

// holding is the hum of lines that hold together, with the coherent part of their
// level; hop is in seconds.
func holding(lines []mainsLine, base, hop float64) (out hum, ok bool) {
	best, off := together(lines, hop)
	power := 0.0
	for _, m := range lines {
		if m.falls <= humFalls {
			out.lines++
			power += math.Pow(10, m.level/10) * m.coherent * m.coherent
		}
	}
	out.level, out.hz = 10*math.Log10(power+1e-20), base+off
	return out, best >= humTogether && math.Abs(off) <= humOffTogether && out.lines >= humSteady
}

// together is how well the phases of all lines advance as the multiples of one
// frequency do, 1 for a pure series and about 0.2 for noise, and how far, in hertz, that
// lies from the mains: the best of
//
//	mean over h of Re A[h] exp(-2 pi i h d T)
//
// for offsets d up to humOff, T being a hop. No single line need stand out.
func together(lines []mainsLine, hop float64) (best, off float64) {
	best = -1
	if len(lines) == 0 {
		return best, 0
	}
	for d := -humOff; d <= humOff+1e-9; d += humOff / 10 {
		sum := 0.0
		for h, m := range lines {
			sum += real(m.advance * cmplx.Rect(1, -2*math.Pi*float64(h+1)*d*hop))
		}
		if sum /= float64(len(lines)); sum > best {
			best, off = sum, d
		}
	}
	return best, off
}

// isHum judges line h of a series, 1 being the fundamental.
func (m mainsLine) isHum(h int) bool {
	return m.stands >= humStands && m.falls <= humFalls && m.coherent >= humCoherent && math.Abs(m.off) <= humOff*float64(h)
}

// quietest is the frame with the least around the lines of a series.
func (l *low) quietest(series, from, to int) int {
	at, least := from, math.Inf(1)
	for i := from; i < to; i++ {
		sum := 0.0
		for h := range harmonics {
			sum += float64(l.frames[i].lines[series][h].around)
		}
		if sum < least {
			at, least = i, sum
		}
	}
	return at
}
