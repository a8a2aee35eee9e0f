package render

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"path/filepath"
	"strings"

	"dubgauge/export/output"
	"dubgauge/library"
)

// errChanged is that of a file that is not the one that was measured.
var errChanged = &Refusal{"its file is not the one that was measured: scan again"}

const (
	// offLU is how far a copy may lie from what was planned.
	offLU = 0.05
	// overDB is how far its true peak may pass the ceiling of the limiter: dither of
	// 24 bits is far less.
	overDB = 0.01
)

// Copy writes the copy of t into the folder dir, and a note beside it. Nothing is replaced,
// and nothing is left when it fails. progress, which may be nil, is called with the seconds
// of audio done, over all passes. Errors are a *Refusal, an *output.Refusal, that of ctx, or
// one of the system.
func Copy(ctx context.Context, t *library.Track, dir string, o Options, keep func(string) (string, error), progress func(float64)) (Done, error) {
	p, err := MakePlan(t, o)
	if err != nil {
		return Done{}, err
	}
	if len(p.Moves) > 0 {
		if err := p.hear(ctx, t, o, progress); err != nil {
			return Done{}, err
		}
	}
	name := filepath.Join(dir, Name(t, &p, o.Format))
	note := strings.TrimSuffix(name, filepath.Ext(name)) + ".json"
	files := output.Options{Fresh: true, Keep: keep}
	for _, f := range []string{name, note} { // before the work
		if err := output.Free(f, files); err != nil {
			return Done{}, err
		}
	}
	if p.Limited {
		if err := p.solve(ctx, t, progress); err != nil {
			return Done{}, err
		}
	}
	var done Done
	err = output.WriteFile(ctx, name, files, func(w io.WriteSeeker) error {
		got, err := p.write(ctx, w, t, o.Format, progress)
		done = newDone(t, &p, o.Format, name, got)
		return err
	})
	if err != nil {
		return Done{}, err
	}
	return done, output.Write(ctx, note, files, func(w io.Writer) error {
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		e.SetIndent("", "  ")
		return e.Encode(done)
	})
}

// write writes the file and holds what came out against the plan.
func (p *Plan) write(ctx context.Context, w io.WriteSeeker, t *library.Track, f Format, progress func(float64)) (outcome, error) {
	m := &t.Measurement.File
	depth := m.BitDepth
	exact := p.Gain == 0 && !p.Limited && len(p.Moves) == 0 && depth != nil && *depth <= bits && !strings.HasPrefix(m.Codec, "pcm_f")
	e, err := newEncoder(f, w, m.SampleRateHz, m.Channels, newQuantiser(exact), t)
	if err != nil {
		return outcome{}, err
	}
	got, err := p.pass(ctx, t, e.write, progress)
	if err == nil {
		err = e.end()
	}
	if err == nil {
		err = p.check(got)
	}
	return got, err
}

// check refuses what is not as planned.
func (p *Plan) check(got outcome) error {
	switch {
	case !(math.Abs(got.lufs-p.Target) <= offLU):
		return errChanged
	case p.Limited && got.peak > p.Ceiling+overDB:
		return errors.New("the limiter let a peak through: no copy was written")
	}
	return nil
}
