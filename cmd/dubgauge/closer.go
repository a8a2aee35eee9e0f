package main

import (
	"context"
	"errors"
	"fmt"
	"math"

	"dubgauge/detect"
	"dubgauge/detect/coded"
	"dubgauge/detect/crest"
	"dubgauge/export/encode"
	"dubgauge/export/words"
	"dubgauge/library"
)

// expected prints what the true peak is likely to become in a copy that is encoded.
func (a *app) expected(t *library.Track) {
	if !t.Peak.TruePeakDBTP.Exists() {
		return
	}
	e := coded.MP3320
	a.field("as "+encodedName[e], fmt.Sprintf("true peak up to %s expected, nine times of ten; --closer measures it",
		words.Plain.Change(detect.Value(e.Expected(float64(t.Peak.TruePeakDBTP))), "dBTP")))
}

// encodedName is short enough for a label.
var encodedName = map[coded.Encoding]string{coded.MP3320: "MP3 320", coded.AAC256: "AAC 256"}

// closer decodes the loudest part and prints what takes longer to find out.
func (a *app) closer(ctx context.Context, t *library.Track) error {
	p, err := encode.Loudest(ctx, t)
	if err != nil {
		return fmt.Errorf("cannot read %s: %w", words.Printable(t.DiskPath()), library.Reason(err))
	}
	a.print("\nThe loudest 30 s looked at closer")
	r := crest.Of(p.Rate, p.Channels)
	figure := func(v float64) string { return words.Plain.Figure(detect.Value(v), "LU") }
	line := fmt.Sprintf("peak to loudness %s below %.0f Hz, %s up to %.0f kHz, %s above", figure(r.Low), crest.LowHz, figure(r.Mid), crest.HighHz/1000, figure(r.High))
	if l := t.Limiting; l != nil && l.FlatShare.Exists() {
		line += fmt.Sprintf("; %.0f %% touches the top", 100*float64(l.FlatShare))
	}
	a.field("by band", line)
	before := p.TruePeak()
	for _, e := range coded.All {
		after, err := p.Encoded(ctx, e)
		switch {
		case errors.Is(err, context.Canceled):
			return err
		case err != nil:
			a.field("as "+encodedName[e], unmeasured(e, before, err))
			continue
		}
		a.field("as "+encodedName[e], encodedWords(before, after))
	}
	return nil
}

// encodedWords says what encoding did to the peak and what keeps a copy under full scale.
func encodedWords(before, after float64) string {
	peak := func(v float64) string { return words.Plain.Change(detect.Value(v), "dBTP") }
	s := fmt.Sprintf("true peak %s before, %s after", peak(before), peak(after))
	if after <= 0 {
		return s + ": under full scale"
	}
	return s + fmt.Sprintf(": a ceiling of %s keeps a copy under full scale", peak(coded.Ceiling(after-before)))
}

// unmeasured says what to expect where no encoder could be asked.
func unmeasured(e coded.Encoding, before float64, err error) string {
	r := e.Rise()
	s := fmt.Sprintf("not measured (%s); of loud masters half rise by %.1f dB, one in ten by %.1f: true peak up to %s",
		words.Printable(err.Error()), r.Median, r.P90, words.Plain.Change(detect.Value(e.Expected(before)), "dBTP"))
	if math.Round(r.P90) > 1 {
		return s + "; only measuring tells a ceiling"
	}
	return s + fmt.Sprintf("; a ceiling of %s is on the safe side", words.Plain.Change(detect.Value(coded.Ceiling(r.P90)), "dBTP"))
}
