package continuity

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// holeUnder is how far the sound beside a hole may lie under the loud parts of the track,
	// in dB: clicks of a record and noise in a pause are further down.
	holeUnder = 31.0
	// holeGoes is how far, in dB, sound that begins at once may fall within 40 to 90 ms: a
	// click or a hit that stands alone falls by more.
	holeGoes = 20.0
	// diesAway is how far, in dB, the level right beside a gap lies at least under that of the
	// 50 ms before it where the sound has died away by itself.
	diesAway = 20.0
	// together is the least share of the longer of two gaps, one in each channel, that
	// both must cover to be one gap.
	together = 0.7
	// stopLeast is the shortest musical stop, in beats: what stops for less and goes on
	// in the middle of sound is no music unless it comes at even distances.
	stopLeast = 0.24
	// gridNear is how near a musical stop begins and ends to its place, in seconds: 5 ms
	// of first beat and tempo, 3 ms of the programmer's taste.
	gridNear = 0.008
	// lengthLoose is how far, in seconds, the length of a stop may be off a whole number of
	// sixteenths where both its ends lie near them: by chance two cuts do in one of fifty.
	// An encoder blurs that.
	lengthLoose, lengthBlurred = 0.005, 0.012
	// A stop of a whole number of eighths, to lengthNear seconds, may be gridLoose off: the
	// stop itself moves the beat that is measured.
	lengthNear, gridLoose = 0.003, 0.020
	// stopMost is the longest musical stop between two sharp edges, in beats: two bars and
	// what follows; stopPlain the least length in seconds that is too long for one.
	stopMost, stopPlain = 9.0, 5.0
	// sixteenths and eighths are the parts of a beat where stops begin and end, those of
	// longStop beats and more.
	sixteenths, eighths, longStop = 4, 2, 1.01
	// holeBlurred is the shortest gap with blurred edges that is judged, in seconds: an
	// encoder's frame with its neighbours covers shorter ones.
	holeBlurred = 0.08
	// restartLongest is the longest gap, in seconds, that is a hole with only its beginning
	// sharp, where no beat tells: longer ones are pauses.
	restartLongest = 0.25
	// Gaps belong to the rhythm when rhythmLeast others of the same length lie in the same
	// place of a sixteenth, within rhythmNear seconds, and these are a share of
	// rhythmShare of all of that length: by chance 1 in 15 does.
	rhythmLeast, rhythmNear, rhythmShare = 3, 0.004, 0.3
	// aloneMost is the number of gaps in a track up to which gaps are not its style, or of
	// those of fewSeconds and more where an encoder has left pieces of a longer one.
	aloneMost, fewSeconds = 4, 0.04
	// deadLeast is the shortest gap in one channel, in seconds, that is called dead; up
	// to there it is a hole in one channel.
	deadLeast = 0.5
)

// merged gives the gaps of all channels in order, those that both channels have as
// one.
func (m *Meter) merged() []gap { return m.mergedOf(func(c int) []gap { return m.gaps[c].found }) }

func (m *Meter) mergedOf(found func(channel int) []gap) []gap {
	var out []gap
	for c := range m.gaps {
		for _, g := range found(c) {
			g.channels = 1 << c
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b gap) int { return int(a.start - b.start) })
	var joined []gap
	for _, g := range out {
		if i := partner(joined, g); i >= 0 {
			joined[i] = join(joined[i], g)
		} else {
			joined = append(joined, g)
		}
	}
	return joined
}

// partner is the place of the gap of the other channel that is the same as g, -1 if
// there is none.
func partner(gs []gap, g gap) int {
	for i := len(gs) - 1; i >= 0 && i >= len(gs)-4; i-- {
		h := &gs[i]
		if h.channels&g.channels != 0 {
			continue
		}
		both := min(h.end, g.end) - max(h.start, g.start)
		if float64(both) >= together*float64(max(h.end-h.start, g.end-g.start)) {
			return i
		}
	}
	return -1
}

// join makes one gap of two.
func join(a, b gap) gap {
	return gap{
		start: min(a.start, b.start), end: max(a.end, b.end), zeros: a.zeros && b.zeros, channels: a.channels | b.channels,
		before: a.before.and(b.before), after: a.after.and(b.after), level: a.level + b.level, held: a.held || b.held,
	}
}

// and adds the sound of another channel.
func (e edge) and(o edge) edge {
	cut, skirt := e.cut, e.skirt
	if o.far+o.early > e.far+e.early {
		cut, skirt = o.cut, o.skirt
	}
	return edge{
		near: e.near + o.near, far: e.far + o.far, early: e.early + o.early,
		jump: math.Hypot(e.jump, o.jump), leap: math.Hypot(e.leap, o.leap), slope: math.Hypot(e.slope, o.slope), cut: cut, skirt: skirt, known: max(e.known, o.known),
	}
}

// from and to are the times between which there is no sound at level.
func (m *Meter) from(g *gap) float64 { return m.seconds(g.start - int64(g.before.cut)) }
func (m *Meter) to(g *gap) float64   { return m.seconds(g.end + int64(g.after.cut)) }

// on tells whether the end of a stop of so many seconds lies on the grid. A grid that is
// not sure excuses as well as one that is.
func (g Grid) on(t, seconds float64) bool {
	parts := float64(sixteenths)
	if seconds >= longStop*g.beat() {
		parts = eighths
	}
	return g.plausible() && g.off(t, parts) <= gridNear
}

// stops tells whether the beats between two times are a whole number of eighths, near
// their places: a stop where the measured beat is a little off.
func (g Grid) stops(from, to float64) bool {
	step := g.beat() / eighths
	return g.plausible() && to-from > g.beat()/2 && math.Abs(math.Remainder(to-from, step)) <= lengthNear &&
		g.off(from, eighths) <= gridLoose && g.off(to, eighths) <= gridLoose
}

// isHole decides over a gap in the middle of the track. alone says that it is one of few in
// the track, few that it is one of few as long as it is.
func (m *Meter) isHole(g *gap, grid Grid, alone, few bool) bool {
	if m.faint(g) || m.deadBetween(g) {
		return !m.faint(g)
	}
	p := m.place(g, grid)
	switch stops, starts := g.before.sharp(), g.after.sharp(); {
	case stops && starts || alone && g.stopsAlone(m.rate, grid.known()):
		return p.noStop(grid, lengthLoose)
	case few && p.length() >= holeBlurred && g.before.abrupt(m.rate) && g.after.abrupt(m.rate):
		return p.noStop(grid, lengthBlurred)
	case stops || starts:
		return (stops || g.restarts()) && p.noNote(grid, stops, starts)
	}
	return m.isBlurred(g, p, grid, alone)
}

// faint tells whether the sound beside a gap lies far under the loud parts.
func (m *Meter) faint(g *gap) bool {
	return decibels(max(g.before.far, g.after.far)) < decibels(m.loudest())-holeUnder
}

// stopsAlone tells whether the only gap of a track with one sharp edge is a stop: with a beat,
// where the sound stops at once, with none, where it is cut out.
func (g *gap) stopsAlone(rate float64, beat bool) bool {
	if beat {
		return g.before.sharp()
	}
	return g.cutOut(rate)
}

// cutOut tells whether the gap is of zeros, cut on one side and with the sound at level right
// beside it on both, as where low sounds are cut near a zero crossing.
func (g *gap) cutOut(rate float64) bool {
	return g.zeros && (g.before.sharp() || g.after.sharp()) && g.before.steep(rate) && g.after.steep(rate)
}

// place is where the gap lies.
func (m *Meter) place(g *gap, grid Grid) placed {
	p := placed{from: m.from(g), to: m.to(g), bare: m.seconds(g.end - g.start)}
	p.onFrom = grid.on(p.from, p.length()) || grid.on(m.seconds(g.start), p.length())
	p.onTo = grid.on(p.to, p.length()) || grid.on(m.seconds(g.end), p.length())
	return p
}

// lasts tells whether sound that begins at once goes on.
func (e edge) lasts() bool { return decibels(e.early) >= decibels(e.far)-holeGoes }

// diesAway tells whether the sound before a gap has gone by itself, as that of a dry drum has
// before the next one.
func (e edge) diesAway() bool { return e.near < e.far*math.Pow(10, -diesAway/10) }

// restarts tells whether the sound behind a gap goes on and that before it had not gone by itself.
func (g *gap) restarts() bool {
	return g.after.lasts() && !g.before.diesAway() && decibels(g.before.far) >= soundDB
}

// isBlurred decides over a gap with edges as steep as an encoder may leave them.
func (m *Meter) isBlurred(g *gap, p placed, grid Grid, alone bool) bool {
	off := grid.known() && !p.onTo && (!p.onFrom || alone)
	return off && p.length() >= holeBlurred && g.before.steep(m.rate) && g.after.steep(m.rate)
}

// noNote tells that a gap with one sharp edge is no note that is cut off before the next,
// and no sharp hit after a tail.
func (p placed) noNote(grid Grid, stops, starts bool) bool {
	if grid.known() {
		return !p.onTo && !(p.onFrom && starts)
	}
	return stops && p.length() <= restartLongest
}

// placed is a gap beside the beat.
type placed struct {
	from, to     float64 // seconds
	bare         float64 // seconds of the gap alone, without the quiet beside it
	onFrom, onTo bool    // the beat
}

func (p placed) length() float64 { return p.to - p.from }

// noStop tells that a gap with sharp edges is none of the music's: that stops so on the
// beat, and for some of it. A track whose notes are cut off before the next has more of
// that.
func (p placed) noStop(grid Grid, loose float64) bool {
	if p.length() > stopMost*grid.beat() && p.length() >= stopPlain {
		return true
	}
	off := func(length float64) float64 { return math.Abs(math.Remainder(length, grid.beat()/sixteenths)) }
	whole := p.onFrom && p.onTo && min(off(p.length()), off(p.bare)) <= loose
	return !grid.stops(p.from, p.to) && !whole || grid.known() && p.length() < stopLeast*grid.beat()
}

// holes names the gaps that are none of the music's.
func (m *Meter) holes(grid Grid) []Finding {
	if slices.ContainsFunc(m.gaps, func(g gaps) bool { return g.more }) {
		return nil
	}
	all := m.merged()
	few, zeros := m.few(all), 0
	for i := range all {
		if all[i].zeros {
			zeros++
		}
	}
	var out []Finding
	for i := range all {
		g := &all[i]
		alone := len(all) <= aloneMost || g.zeros && zeros <= aloneMost
		if g.start > 0 && m.isHole(g, grid, alone, few) && !m.rhythmic(all, i, grid) {
			out = append(out, m.hole(g))
		}
	}
	return out
}

// few tells whether there are so few gaps of some length that they are not the track's
// style.
func (m *Meter) few(all []gap) bool {
	n := 0
	for i := range all {
		if m.seconds(all[i].end-all[i].start) >= fewSeconds {
			n++
		}
	}
	return n <= aloneMost
}

// rhythmic tells whether gap i is one of several of like length that come at like
// distances, or in the same place of a beat: a gate, or notes that are cut short.
func (m *Meter) rhythmic(all []gap, i int, grid Grid) bool {
	a, same, like := &all[i], 0, 0
	for j := range all {
		b := &all[j]
		if j == i || !alike(a.end-a.start, b.end-b.start, m.rate) {
			continue
		}
		like++
		if grid.known() && math.Abs(math.Remainder(m.seconds(a.start-b.start), grid.beat()/sixteenths)) <= rhythmNear {
			same++
		}
	}
	if same >= rhythmLeast && float64(same) >= rhythmShare*float64(like) {
		return true
	}
	for j := max(0, i-2); j+2 < len(all) && j <= i; j++ {
		if evenly(all[j:j+3], m.rate) {
			return true
		}
	}
	return false
}

// alike tells whether two lengths in samples are the same to the ear.
func alike(a, b int64, rate float64) bool {
	return math.Abs(float64(a-b)) <= max(0.002*rate, 0.03*float64(max(a, b)))
}

// evenly tells whether three gaps have like lengths and distances.
func evenly(g []gap, rate float64) bool {
	return alike(g[1].start-g[0].start, g[2].start-g[1].start, rate) &&
		alike(g[0].end-g[0].start, g[1].end-g[1].start, rate) && alike(g[1].end-g[1].start, g[2].end-g[2].start, rate)
}

func (m *Meter) hole(g *gap) Finding {
	from, to := m.from(g), m.to(g)
	f := Finding{Kind: reason.Hole, At: from, Until: to, Figure: to - from}
	what := "silence"
	switch {
	case g.zeros:
		what = "digital zeros"
	case g.held:
		what = "one sample that is held"
	case g.level > 0:
		what = fmt.Sprintf("noise of %.0f dBFS", decibels(g.level/float64(bits.OnesCount(uint(g.channels)))))
	}
	where := ""
	if len(m.gaps) == 2 && g.channels != 3 {
		where = " in the " + sideName(g.channels-1, 2) + " channel"
		if to-from >= deadLeast && m.other(g.channels-1, from, to) >= soundDB {
			f.Kind = reason.DeadPart
		}
	}
	f.Detail = fmt.Sprintf("%s of %s%s inside the music at %s: the sound stops and goes on at once, off the beat or shorter than any of it",
		span(to-from), what, where, reason.Place(from))
	if f.Kind == reason.DeadPart {
		f.Detail = fmt.Sprintf("the %s channel is dead for %s from %s", sideName(g.channels-1, 2), span(to-from), reason.Place(from))
	}
	return f
}
