package transfer

import (
	"fmt"
	"math"
	"slices"

	"dubgauge/detect/reason"
)

const (
	// humHeard, rumbleHeard and hissHeard are the levels, RMS in dBFS, from which the
	// plain kind is named: 40 to 45 dB under a club master of -8 LUFS, which at 100 dB
	// on the floor is 55 to 60 dB in a break, as loud as talk (ours, no source); of rumble,
	// which the ear hardly hears, what takes headroom: 30 dB under.
	humHeard, rumbleHeard, hissHeard = -52.0, -38.0, -52.0
	// wowHeard is the swing as found, in percent, from which the plain kind is named:
	// what is found is about half of what there is, and of 0.3 % sustained notes
	// sound unsteady (common practice).
	wowHeard = 0.15
	// worst is how many places are named.
	worst = 5
)

// Beat is what is known of the tempo when the track has been written. The zero value
// says that nothing is.
type Beat struct {
	BPM        float64 // beats a minute; 0 or NaN for none
	Confidence float64 // 0 to 1
}

// Finding is one thing that a transfer has left.
type Finding struct {
	Kind   reason.Kind
	Detail string  // in words, with figures; no full stop
	At     float64 // seconds: the worst place, NaN where it is everywhere alike
	// Figure is clicks a minute; dBFS of hum, rumble and hiss; percent of wow.
	Figure float64
}

// settled is what can be found without the tempo.
type settled struct {
	hums [len(mains)]hum
	low  [sides]float64 // level of the rumble of a side in dBFS, NaN where there is none
	hiss float64        // level of the floor in dBFS, NaN where there is none
	at   int            // the frame where it stands out most
}

// Settle finds what needs no tempo in all that was written so far, and lets go of what was
// remembered for it: most of what a Meter holds of a long track. Nothing can be written
// after it.
func (m *Meter) Settle() {
	if m.settled != nil {
		return
	}
	if m.fill > 0 {
		m.chunk(m.buf[0][:m.fill], m.buf[1][:m.fill])
		m.fill = 0
	}
	s := &settled{}
	if m.low != nil {
		for i := range mains {
			s.hums[i] = m.low.hum.hum(i)
		}
		m.low.hum.frames.Clear()
		for side := range s.low {
			s.low[side] = m.low.steadyLow(side)
		}
		m.low.frames, m.low.waves.x = nil, [sides][]float32{}
	}
	s.hiss, s.at = m.hiss.floor()
	m.hiss.frames.Clear()
	m.settled = s
}

// Result gives what was found in all that was written so far. It may be asked for
// again, but nothing can be written after it.
func (m *Meter) Result(b Beat) []Finding {
	m.Settle()
	var out []Finding
	out = m.clicked(out, b)
	if m.low != nil {
		out = m.hummed(out)
		out = m.rumbled(out)
	}
	if level := m.settled.hiss; level >= hissLeast {
		out = append(out, Finding{either(level >= hissHeard, reason.Hiss, reason.HissFaint),
			fmt.Sprintf("steady noise under the whole track at %.0f dBFS", level), float64(m.settled.at) * m.hiss.seconds, level})
	}
	if m.wow != nil {
		out = m.swung(out, b)
	}
	return out
}

func either(plain bool, a, b reason.Kind) reason.Kind {
	if plain {
		return a
	}
	return b
}

func (m *Meter) clicked(out []Finding, b Beat) []Finding {
	j := m.clicks.record(b)
	if j.perMinute == 0 {
		return out
	}
	slices.SortStableFunc(j.ticks, func(a, b tick) int { return int(math.Copysign(1, float64(b.most-a.most))) })
	var at []float64
	for _, t := range j.ticks[:min(worst, len(j.ticks))] {
		at = append(at, m.seconds(t.cell))
	}
	return append(out, Finding{either(j.clear >= clickMany, reason.Clicks, reason.ClicksFew),
		fmt.Sprintf("about %.0f clicks a minute from end to end, the worst at %s", j.perMinute, reason.Places(at)), at[0], j.perMinute})
}

func (m *Meter) hummed(out []Finding) []Finding {
	h := m.settled.hums[0]
	if other := m.settled.hums[1]; other.is() && (!h.is() || other.together > h.together) {
		h = other
	}
	if !h.is() {
		return out
	}
	lines := "one line"
	if h.lines > 1 {
		lines = fmt.Sprintf("%d lines", h.lines)
	}
	// A line alone may be a note that never stops.
	return append(out, Finding{either(h.level >= humHeard && h.lines > 1, reason.Hum, reason.HumFaint),
		fmt.Sprintf("hum of %.1f Hz in %s at %.0f dBFS that never stops", h.hz, lines, h.level), h.at, h.level})
}

func (m *Meter) rumbled(out []Finding) []Finding {
	mid, side := m.settled.low[0], m.settled.low[1]
	power, where := 0.0, "in the sum of the channels"
	for _, level := range [...]float64{side, mid} {
		if !math.IsNaN(level) {
			power += math.Pow(10, level/10)
		}
	}
	if power == 0 {
		return out
	}
	if !math.IsNaN(side) {
		where = "that the channels don't share"
	}
	level := 10 * math.Log10(power)
	return append(out, Finding{either(level >= rumbleHeard, reason.Rumble, reason.RumbleFaint),
		fmt.Sprintf("noise of %.0f dBFS below %.0f Hz %s, under the quiet parts too", level, rumbleTo, where), math.NaN(), level})
}

func (m *Meter) swung(out []Finding, b Beat) []Finding {
	beat := m.begins.timing(m.clicks.rate, b)
	pitch := m.wow.swings(b)
	s, detail := standing(pitch, beat), "the pitch of everything swings by at least %.2f %% to either side, %.2f times a second"
	t := beat.swing()
	if t.percent == 0 {
		t = beat.both(pitch)
	}
	if t.percent > 0 && (s.percent == 0 || t.plain() || !s.plain()) {
		s, detail = t, "the speed of everything swings by about %.2f %% to either side, %.2f times a second"
	}
	if s.percent == 0 {
		return out
	}
	return append(out, Finding{either(s.plain(), reason.Wow, reason.WowSlight), fmt.Sprintf(detail, s.percent, s.hz), math.NaN(), s.percent})
}
