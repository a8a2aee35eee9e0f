package judge

import (
	"slices"
	"testing"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// TestFaultsBesideOthers: each kind, in their order, on the tracks that have it; of several
// sticks in whatever order, each by itself.
func TestFaultsBesideOthers(t *testing.T) {
	tracks := []track.Track{
		made(1, "/a", "con.mp3", status.Released, "one"),
		made(2, "/b", "CON.MP3", status.Released, "two"),
		made(3, "/a", "CON.mp3", status.Released, "one"),
		made(4, "/a", "plain.wav", status.Released, "three"),
		made(5, "/a", "gone.wav", status.Released, "three"),
	}
	for i := range tracks[:3] {
		tracks[i].Measurement.File.Format = "wav"
		tracks[i].Measurement.File.SizeBytes = 5 << 30
	}
	tracks[4].Marks.Ignore = true
	Judge(tracks, standout.Options{})
	ending := "ending"
	if f, ok := track.EndingFault("x.mp3", "wav"); ok {
		ending = f.Kind
	}
	for i, want := range [][]string{
		{"name", "name_clash", ending, "file_size", "duplicate"}, {"name", ending, "file_size"},
		{"name", "name_clash", ending, "file_size", "duplicate"}, nil, nil,
	} {
		var got []string
		for _, f := range tracks[i].Faults {
			got = append(got, f.Kind)
		}
		if !slices.Equal(got, want) {
			t.Errorf("track %d has %q, want %q", tracks[i].ID, got, want)
		}
	}
}

// TestOrderOfTracksIsNothing: what is said of a track is the same whoever was judged
// before it.
func TestOrderOfTracksIsNothing(t *testing.T) {
	tracks := lonely()
	Judge(tracks, standout.Options{})
	c := NewCollection(len(tracks), standout.Options{})
	for i := range tracks {
		c.Add(&tracks[i])
	}
	c.Close(func(place int, _ int64) string { return "" })
	for i := len(tracks) - 1; i >= 0; i-- { // backwards, one by one
		again := slices.Clone(tracks[i : i+1])
		c.Judge(i, again)
		if !slices.Equal(again[0].Members, tracks[i].Members) || again[0].Reference.LUFS != tracks[i].Reference.LUFS {
			t.Fatalf("track %d: %v about %v, and %v about %v", i, tracks[i].Members, tracks[i].Reference.LUFS, again[0].Members, again[0].Reference.LUFS)
		}
	}
}

// lonely is a library of many references of which some lie far from all others, and tracks
// between them and these.
func lonely() (tracks []track.Track) {
	add := func(bpm float64, s status.Status) {
		t := made(int64(len(tracks)+1), "/a", "x.wav", s, "")
		t.Content = nil
		t.Path = string(rune('a'+len(tracks)%26)) + string(rune('a'+len(tracks)/26%26)) + string(rune('a'+len(tracks)/676)) + ".wav"
		t.Measurement.Tempo.BPM, t.Loudness.Loudest30sLUFS = detect.Value(bpm), detect.Value(-8-float64(len(tracks)%7)/3)
		t.LowEnd.LowDB, t.LowEnd.SubDB, t.LowEnd.BassDB, t.LowEnd.MonoLossDB, t.Peak.TruePeakDBTP = 1, -2, 0, -0.1, -0.2
		tracks = append(tracks, t)
	}
	for i := range 420 {
		add(110+float64(i%60)/10, status.Released)
	}
	for _, far := range []float64{140, 150, 160} { // 11 % and more from the others: no kin
		add(far, status.Released)
		for i := range 6 {
			add(far*(0.96+0.014*float64(i)), status.Unreleased)
		}
	}
	return tracks
}
