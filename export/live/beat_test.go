package live

import (
	"testing"
	"time"

	"dubgauge/detect"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// Bars are counted where one tempo is held all through and is sure, and from a bar line where
// that is known.
func TestSureBeats(t *testing.T) {
	tempo := func(change func(*detect.Tempo)) *library.Track {
		x := &library.Track{}
		m := &x.Measurement.Tempo
		*m = detect.Tempo{BPM: 126, Confidence: 0.9, FirstBeatS: 0.1, FirstDownbeatS: 0.58, DriftPercent: 0, DriftFromS: detect.None, ChangeAtS: detect.None}
		change(m)
		return x
	}
	if b := beatOf(tempo(func(*detect.Tempo) {})); b == nil || *b != (beat{126, 0.58, true}) {
		t.Errorf("sure: %+v", b)
	}
	if b := beatOf(tempo(func(m *detect.Tempo) { m.FirstDownbeatS = detect.None })); b == nil || *b != (beat{126, 0.1, false}) {
		t.Errorf("without bars: %+v", b)
	}
	for name, change := range map[string]func(*detect.Tempo){
		"less sure":  func(m *detect.Tempo) { m.Confidence = 0.89 },
		"no figure":  func(m *detect.Tempo) { m.Confidence = detect.None },
		"no tempo":   func(m *detect.Tempo) { m.BPM = detect.None },
		"drifts":     func(m *detect.Tempo) { m.DriftPercent = 0.3 },
		"slows down": func(m *detect.Tempo) { m.DriftPercent = -0.3 },
		"changes":    func(m *detect.Tempo) { m.ChangeAtS = 60 },
		"in doubt":   func(m *detect.Tempo) { m.BeatConfidence = 0.7 },
		"no beat":    func(m *detect.Tempo) { m.FirstBeatS = detect.None },
	} {
		if b := beatOf(tempo(change)); b != nil {
			t.Errorf("%s: %+v", name, b)
		}
	}
}

// Versions come first and once, parts of a mash-up and files that are gone not at all.
func TestVersionsAreOffered(t *testing.T) {
	tracks := madeup.Tracks(6)
	this := &tracks[0]
	of := func(i int) library.Version { return library.Version{ID: tracks[i].ID, Path: tracks[i].Path} }
	part := of(3)
	part.Part = true
	tracks[4].MissingSince = time.Now()
	this.Versions = &library.Versions{Tracks: []library.Version{of(2), part, of(4), {ID: 12345}}}
	offered := besides(this, tracks, []*library.Track{&tracks[1], &tracks[2], this})
	if len(offered) != 2 || offered[0].ID != tracks[2].ID || offered[1].ID != tracks[1].ID {
		t.Errorf("offered: %v", offered)
	}
	if offered[0] == &tracks[2] {
		t.Error("what is shared is offered itself, not a copy")
	}
	if !isVersion(this, tracks[2].ID) || isVersion(this, tracks[3].ID) || isVersion(this, tracks[1].ID) {
		t.Error("versions are not told from others")
	}
	this.MissingSince = time.Now()
	l, err := New(nil, Options{}).listening(t.Context(), this, tracks)
	if err != nil || l.Unplayable == "" || len(l.Beside) > 0 || panel(this, nil) != nil {
		t.Errorf("a file that is gone: %+v, %v", l, err)
	}
}
