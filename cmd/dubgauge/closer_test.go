package main

import (
	"testing"

	"dubgauge/detect/coded"
	"dubgauge/export/encode"
)

// What is said with and without an encoder; the rises are those of the table in package coded.
func TestEncodedWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{encodedWords(-0.3, 0.24), "true peak -0.3 dBTP before, +0.2 dBTP after: a ceiling of -0.6 dBTP keeps a copy under full scale"},
		{encodedWords(-1, -0.4), "true peak -1.0 dBTP before, -0.4 dBTP after: under full scale"},
		{unmeasured(coded.MP3320, -0.3, encode.ErrNoProgram), "not measured (no encoder is at hand); of loud masters half rise by 0.2 dB, one in ten by 0.5: " +
			"true peak up to +0.2 dBTP; a ceiling of -0.5 dBTP is on the safe side"},
		{unmeasured(coded.AAC256, -1, encode.ErrNoProgram), "not measured (no encoder is at hand); of loud masters half rise by 2.5 dB, one in ten by 5.7: " +
			"true peak up to +4.7 dBTP; only measuring tells a ceiling"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}
