package track

import (
	"slices"

	"dubgauge/decode"
	"dubgauge/detect"
	"dubgauge/detect/faults"
)

// EndingFault is the fault of a file whose name promises another format than the
// content has, as Info.Format names it: WAV named .mp3. ok is false when name and
// content agree, or when the format is not known.
func EndingFault(path, format string) (f detect.Fault, ok bool) {
	if format == "" {
		return f, false
	}
	e := decode.Mismatch(path, decode.Info{Format: format})
	if e == nil {
		return f, false
	}
	g := faults.FromStream(*e)
	return detect.Fault{Kind: string(g.Kind), Detail: g.Detail, AtS: detect.Value(g.At)}, true
}

// NameEnding adds EndingFault of the name that the file has now. It stays with the
// name: in the database it is no part of the record, as a file can be renamed.
func (t *Track) NameEnding() {
	f, ok := EndingFault(t.Path, t.Measurement.File.Format)
	known := func(g detect.Fault) bool { return g.Kind == f.Kind && g.Detail == f.Detail }
	if ok && !slices.ContainsFunc(t.Faults, known) {
		t.AddFault(f)
	}
}
