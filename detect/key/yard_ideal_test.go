package key

import (
	"math"
	"math/rand/v2"
	"testing"
)

// heardNotes is what moments would hold if every note were heard for just as long as it
// sounds: at the given strength, in seconds. Notes of the bass are those below bassNote.
func heardNotes(x []sounds, notes []note, bpm, strength, momentSeconds float64) {
	for _, n := range notes {
		from, to := n.at*60/bpm, (n.at+n.beats)*60/bpm
		for i := max(0, int(from/momentSeconds)); i < len(x) && float64(i)*momentSeconds < to; i++ {
			at := float64(i) * momentSeconds
			v := strength * (min(to, at+momentSeconds) - max(from, at))
			class := int(math.Round(n.pitch)) % 12
			x[i].all[class] += v
			if n.pitch < bassNote {
				x[i].bass[class] += v
			}
			x[i].weight += v
		}
	}
}

// judged is the key of true notes: by the judge of tracks, and by the mean of the profiles
// alone.
func judged(x []sounds) (byAll, byProfiles Key) {
	m := New(testRate, 1)
	rate := make([]float64, len(x))
	for i := range x {
		m.moments = append(m.moments, moment{frames: momentFrames})
		x[i].scale(10) // a full moment has some 10 peaks a frame
		rate[i] = x[i].weight / momentFrames
	}
	var p part
	parts := m.gather(x, rate)
	for i := range parts {
		p.add(&parts[i])
	}
	if p.weight == 0 {
		return NoKey, NoKey
	}
	o := p.odds()
	byAll, _ = o.best()
	l, most := p.listener(), math.Inf(-1)
	for k := range chordCount {
		key := Key{k % 12, Mode(k / 12)}
		if f := l.features(key)[fits]; f > most {
			byProfiles, most = key, f
		}
	}
	return byAll, byProfiles
}

// TestIdealObserver says what of the yardstick can be told from its score: what is missed
// there lies in the music, the rest in how it is heard. With the strengths of bass, chords and
// melody as they are mixed.
func TestIdealObserver(t *testing.T) {
	const least, leastTunes = 0.87, 0.81 // 0.883 and 0.828
	m := New(testRate, 1)
	seconds := float64(momentFrames*m.hop) / m.mid.rate
	var all, profiles tally
	rows := map[string]*tally{}
	for _, h := range yardPieces(showingSeeds, allTonics) {
		p, rnd := newYardPiece(h.piece.music, h.piece.key.Tonic, h.piece.seed)
		a := p.arrange(rnd)
		x := make([]sounds, int(p.seconds/seconds))
		heardNotes(x, a.bass, p.bpm, 1, seconds)
		heardNotes(x, a.chords, p.bpm, 0.33, seconds)
		heardNotes(x, a.melody, p.bpm, 0.5, seconds)
		got, simple := judged(x)
		all.add(got, p.key)
		profiles.add(simple, p.key)
		if rows[p.music.name] == nil {
			rows[p.music.name] = &tally{}
		}
		rows[p.music.name].add(got, p.key)
	}
	for i := range yardMusic {
		t.Logf("%-28s %v", yardMusic[i].name, rows[yardMusic[i].name])
	}
	t.Logf("all %v; by the profiles alone %v", &all, &profiles)
	var tunes tally
	for i := range 200 {
		tn, want := randomTune(rand.New(rand.NewPCG(11, uint64(i))))
		x := make([]sounds, int(tn.seconds/seconds))
		for at := 0.0; at*60/tn.bpm < tn.seconds; at += tn.beats {
			for _, n := range tn.notes {
				n.at, n.pitch = n.at+at, n.pitch+tn.up
				strength := 0.33
				if n.pitch < bassNote {
					strength = 1
				}
				heardNotes(x, []note{n}, tn.bpm, strength, seconds)
			}
		}
		got, _ := judged(x)
		tunes.add(got, want)
	}
	t.Logf("random tunes %v", &tunes)
	if all.mirex() < least || tunes.mirex() < leastTunes {
		t.Errorf("%.3f and %.3f, want %.2f and %.2f: the score tells less than the sound", all.mirex(), tunes.mirex(), least, leastTunes)
	}
}
