package main

import (
	"dubgauge/detect/coded"
	"dubgauge/export/words"
	"dubgauge/library"
)

// expected prints what the true peak is likely to become in a copy that is encoded.
func (a *app) expected(t *library.Track) {
	if s := words.Plain.ExpectedCopy(t, coded.MP3320); s != "" {
		a.field("as "+words.ShortEncoding(coded.MP3320), s+"; --closer measures it")
	}
}

// closer prints what takes longer to find out.
func (a *app) closer(t *library.Track, l *coded.Look) {
	a.print("\nThe loudest 30 s looked at closer")
	a.field("by band", words.Plain.ByBand(l, t))
	for _, c := range l.Copies {
		a.field("as "+words.ShortEncoding(c.Encoding), words.Plain.Copy(&c))
	}
}
