package continuity

import (
	"math"
	"math/cmplx"
	"testing"

	"dubgauge/detect/reason"
)

// A step that nothing takes back is a part that goes to the end, or from the beginning on:
// the shorter side of it. An arrangement moves one band, or goes on otherwise.
func TestLasting(t *testing.T) {
	for _, tt := range []struct {
		name     string
		ws       []weigh
		from, to int // blocks, 0 and 0 for none
		db       float64
	}{
		{"to the end", louder(still(160), 100, 160, 3, 3, 3), 100, 160, 3},
		{"from the beginning on", louder(still(160), 0, 40, 3, 3, 3), 0, 40, 3},
		{"of the other channel", louder(still(160), 100, 160, -3, -3, -3), 100, 160, 3},
		{"for 3 s", louder(still(160), 148, 160, 3, 3, 3), 0, 0, 0},
		{"the rest by more", louder(still(160), 100, 160, 3, 3.8, 3.2), 0, 0, 0},
		{"with no low end", mute(louder(still(160), 100, 160, 3, 3, 3), 0, 160), 0, 0, 0},
		{"other music", levelled(louder(still(160), 100, 160, 3, 3, 3), 100, 160, levels{-9, -9, -9}, levels{-9, -9, -9}, 0), 0, 0, 0},
		{"and half of it back a while later", louder(louder(still(160), 100, 160, 3, 3, 3), 115, 160, -2, 0, 0), 0, 0, 0},
		{"one of two", louder(louder(still(160), 40, 160, 4, 4, 4), 100, 160, 3, 3, 3), 0, 0, 0},
	} {
		m := New(testRate, 2)
		got := m.parts(tt.ws)
		if tt.to == 0 {
			if len(got) > 0 {
				t.Errorf("%s: %+v", tt.name, got)
			}
			continue
		}
		s := m.blocks.seconds
		if len(got) != 1 || got[0].Kind != reason.WeakPart || math.Abs(got[0].Figure-tt.db) > 0.1 ||
			math.Abs(got[0].At-float64(tt.from)*s) > 0.6 || math.Abs(got[0].Until-float64(tt.to)*s) > 0.6 {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// The last block may be filled up: a part ends with the track.
func TestPartEndsWithTheTrack(t *testing.T) {
	m := New(testRate, 2)
	m.base = 39 * testRate // 160 blocks are 39.9 s
	if got := m.parts(louder(still(160), 100, 160, 3, 3, 3)); len(got) != 1 || got[0].Until != 39 {
		t.Errorf("%+v", got)
	}
}

// Of several steps that take one back, that counts between which there is a gain; in a
// balance that leans to and fro only bands that all say so do.
func TestStepsInBetween(t *testing.T) {
	nodding := func(ws []weigh, low, top float64) []weigh { // every 4 s, the rest and the top apart
		for from := 80; from+32 <= len(ws); from += 32 {
			louder(ws, from, from+16, low, 3, top)
		}
		return ws
	}
	quiet := func(ws []weigh) []weigh { return mute(ws, 0, len(ws)) }
	for _, tt := range []struct {
		name string
		ws   []weigh
		want bool
	}{
		{"a gain beside a balance that leans to and fro", nodding(louder(still(240), 20, 44, 3, 3, 3), 0, 3.6), true},
		{"without the low end, all bands alike", quiet(louder(still(240), 20, 44, 3, 3, 3)), true},
		{"without the low end, the bands apart", quiet(louder(still(240), 20, 44, 3, 3, 3.8)), true},
		{"without the low end, the bands apart, in a balance that leans to and fro", quiet(nodding(louder(still(240), 20, 44, 3, 3, 3.8), 0, 3.8)), false},
		// Two steps, and two for each 32 blocks from 80 on.
		{"without the low end, all bands alike, among 12 steps", quiet(nodding(louder(still(242), 20, 44, 3, 3, 3), 0, 3)), true},
		{"without the low end, all bands alike, among 14 steps", quiet(nodding(louder(still(274), 20, 44, 3, 3, 3), 0, 3)), false},
		{"with the low end, among 14 steps", nodding(louder(still(274), 20, 44, 3, 3, 3), 0, 3), true},
	} {
		m := New(testRate, 2)
		found := false
		for _, f := range m.parts(tt.ws) {
			found = found || math.Abs(f.At-20*m.blocks.seconds) < 0.6
		}
		if found != tt.want {
			t.Errorf("%s: %v; steps %+v", tt.name, found, steps(tt.ws))
		}
	}
}

// The bands of a gain move by the same, to half a decibel.
func TestMovesAlike(t *testing.T) {
	for want, bands := range map[bool][]band{true: {{3, 1}, {3.2, 1}, {2.75, 1}}, false: {{3, 1}, {3.3, 1}, {2.75, 1}}} {
		if newStep(1, 3, 3, true, true, bands).alike != want {
			t.Errorf("%v: %v", bands, !want)
		}
	}
	if (step{low: true}).plainer(step{alike: true}, 2) || !(step{low: true}).plainer(step{low: true}, 99) || !(step{alike: true}).plainer(step{alike: true, low: true}, stepsAlike) ||
		(step{alike: true}).plainer(step{alike: true, low: true}, stepsAlike+1) {
		t.Error("two steps are plain when the low end tells both, or of few all bands do")
	}
}

// Where the channels have the band up to some frequency in common, the peak is that of a sinc:
// at 5 samples it has 0.34 of its height up to 3.1 kHz and 0.55 up to 2.5 kHz, on both sides.
// What is in time as well is on one.
func TestInTimeBesideAWidePeak(t *testing.T) {
	for _, tt := range []struct {
		name         string
		to           float64 // hertz
		late, inTime float64 // shares of the power
		want         bool
	}{
		{"all of the band", 9000, 0.9, 0, false},
		{"all of it, a third in time", 9000, 0.6, 0.3, true},
		{"up to 3.1 kHz", 3100, 1, 0, false},
		{"up to 5 kHz, some in time", 5000, 0.65, 0.35, true},
		{"up to 3.1 kHz, and not as much in common", 3100, 0.8, 0, true},
		{"up to 2.5 kHz", 2500, 1, 0, true},
	} {
		l := newLag(testRate)
		l.coherence = make([]complex128, len(l.cross))
		for k := range l.bin(tt.to) {
			l.coherence[k] = cmplx.Rect(tt.late, 2*math.Pi*5*float64(k)/lagFrame) + complex(tt.inTime, 0)
		}
		from, to := l.bin(lagFrom), l.bin(lagTo)
		d, top, _ := l.peak(from, to)
		if got := l.inTime(d, top, from, to); got != tt.want || tt.inTime == 0 && math.Abs(d-5) > 0.3 {
			t.Errorf("%s: %v, a peak of %.2f at %.2f, %.2f of it in time and %.2f as far beyond", tt.name, got, top, d, l.correlation(0, from, to)/top, l.correlation(2*d, from, to)/top)
		}
	}
}

// Only one step that the low end and all bands tell alike lasts, with stepBlocks that speak on
// both sides; of two equal halves the second is the part.
func TestWhatLasts(t *testing.T) {
	m := New(testRate, 2)
	sure := step{at: 100, db: 3, low: true, alike: true}
	ws := func() []weigh { return louder(still(160), 100, 160, 3, 3, 3) }
	for _, tt := range []struct {
		name string
		ws   []weigh
		all  []step
		want bool
	}{
		{"one", ws(), []step{sure}, true},
		{"none", ws(), nil, false},
		{"two", ws(), []step{sure, {at: 130, db: 3, low: true, alike: true}}, false},
		{"one that the low end does not tell", ws(), []step{{at: 100, db: 3, alike: true}}, false},
		{"one of some bands", ws(), []step{{at: 100, db: 3, low: true}}, false},
		{"one over still kick and bass, about alike", ws(), []step{{at: 100, db: 3, low: true, solid: true, apart: 0.65}}, true},
		{"one over still kick and bass, less so", ws(), []step{{at: 100, db: 3, low: true, solid: true, apart: 0.75}}, false},
		{"one about alike, kick and bass not still", ws(), []step{{at: 100, db: 3, low: true, apart: 0.65}}, false},
		{"eight that speak", mute(ws(), 108, 160), []step{sure}, true},
		{"seven that speak", mute(ws(), 107, 160), []step{sure}, false},
		{"eight that speak before", mute(ws(), 0, 92), []step{sure}, true},
		{"seven that speak before", mute(ws(), 0, 93), []step{sure}, false},
	} {
		if _, ok := m.lasting(tt.ws, tt.all); ok != tt.want {
			t.Errorf("%s: %v", tt.name, ok)
		}
	}
	half := step{at: 80, db: 3, low: true, alike: true}
	if part, ok := m.lasting(louder(still(160), 80, 160, 3, 3, 3), []step{half}); !ok || part[0].at != 80 || part[1].at != 160 {
		t.Errorf("two halves: %+v %v", part, ok)
	}
}
