package words

import (
	"testing"

	"dubgauge/detect"
	"dubgauge/export/madeup"
	"dubgauge/library"
)

// 10 log10(2) = 3.01 LU lie between one channel and two equal ones, BS.1770-5.
func TestLoudest(t *testing.T) {
	for _, c := range []struct {
		name        string
		change      func(*library.Track)
		plain, page string
	}{
		{"whole", func(x *library.Track) { x.Loudness.Loudest30sOverS = 30 }, "-10.1 LUFS from 1:32", "\u221210.1 LUFS from 1:32"},
		{"as good as whole", func(x *library.Track) { x.Loudness.Loudest30sOverS = 29.96 }, "-10.1 LUFS from 1:32", "\u221210.1 LUFS from 1:32"},
		{"a record from before", func(x *library.Track) { x.Loudness.Loudest30sOverS = detect.None }, "-10.1 LUFS from 1:32", "\u221210.1 LUFS from 1:32"},
		{"an odd record", func(x *library.Track) { x.Loudness.Loudest30sOverS = 0 }, "-10.1 LUFS from 1:32", "\u221210.1 LUFS from 1:32"},
		{"with silence in it", func(x *library.Track) { x.Loudness.Loudest30sOverS = 21.4 },
			"-10.1 LUFS from 1:32, over the 21.4 s that sound", "\u221210.1 LUFS from 1:32, over the 21.4 s that sound"},
		{"just short of whole", func(x *library.Track) { x.Loudness.Loudest30sOverS = 29.9 },
			"-10.1 LUFS from 1:32, over the 29.9 s that sound", "\u221210.1 LUFS from 1:32, over the 29.9 s that sound"},
		{"mono", func(x *library.Track) { x.Measurement.File.Channels = 1 },
			"-10.1 LUFS from 1:32; as mono, it plays at -7.1 LUFS on two loudspeakers",
			"\u221210.1 LUFS from 1:32; as mono, it plays at \u22127.1 LUFS on two loudspeakers"},
		{"silence", func(x *library.Track) { x.Loudness.Loudest30sLUFS, x.Measurement.File.Channels = detect.None, 1 }, "-", ""},
	} {
		x := madeup.Track(1, "a.wav", -10.1)
		x.Loudness.Loudest30sStartS, x.Measurement.File.Channels = 92.5, 2
		c.change(&x)
		if a, b := Plain.Loudest(&x), Page.Loudest(&x); a != c.plain || b != c.page {
			t.Errorf("%s: %q, %q, want %q, %q", c.name, a, b, c.plain, c.page)
		}
	}
}
