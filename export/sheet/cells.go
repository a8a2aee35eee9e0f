package sheet

import (
	"strconv"
	"strings"

	"dubgauge/detect"
	"dubgauge/export/words"
	"dubgauge/library"
)

// formulaStart are the characters, half and full width, that make a spreadsheet
// take a cell for a formula (OWASP, CSV Injection).
const formulaStart = "=+-@\uFF1D\uFF0B\uFF0D\uFF20"

// cell is clean, and no formula in any spreadsheet: a leading apostrophe makes
// it text. Spreadsheets of regions that separate columns by semicolons see a new
// cell after each of those, so the same goes there.
func cell(s string) string {
	var b strings.Builder
	start := true
	for _, r := range words.Clean(s) {
		if start && strings.ContainsRune(formulaStart, r) {
			b.WriteByte('\'')
		}
		b.WriteRune(r)
		start = r == ';' || start && (r == ' ' || r == '"')
	}
	return b.String()
}

func tagCells(t *library.Track) []string {
	year, bpm := "", ""
	if t.Tags.Year != 0 {
		year = strconv.Itoa(t.Tags.Year)
	}
	if t.Tags.BPM != nil {
		bpm = number(detect.Value(*t.Tags.BPM), 2)
	}
	return []string{
		cell(t.Path), cell(t.Root), cell(t.Tags.Title), cell(t.Tags.Artist), cell(t.Tags.Album), cell(t.Tags.Label),
		cell(t.Tags.ISRC), year, cell(t.Tags.Genre), bpm, cell(t.Tags.Key),
	}
}

func judgedCells(t *library.Track) []string {
	kinds := make([]string, len(t.Faults))
	for i, f := range t.Faults {
		kinds[i] = f.Kind
	}
	problem := ""
	if t.Error != nil {
		problem = string(t.Error.Kind) + ": " + t.Error.Detail
	}
	return []string{
		string(t.Status), cell(marked(t.Marks)), string(t.Verdict), cell(strings.Join(t.Reasons, "; ")),
		cell(strings.Join(kinds, "; ")), cell(problem),
	}
}

// marked says in words what the user decided.
func marked(m library.Marks) string {
	var said []string
	if m.Status != "" {
		said = append(said, string(m.Status))
	}
	if m.Reference {
		said = append(said, "reference")
	}
	if m.Ignore {
		said = append(said, "ignore")
	}
	return strings.Join(said, "; ")
}

func fileCells(t *library.Track) []string {
	f := &t.Measurement.File
	return []string{
		cell(f.Format), cell(f.Codec), known(f.SampleRateHz), known(f.Channels), optional(f.BitDepth),
		optional(f.BitrateKbps), number(f.DurationS, 3), strconv.FormatInt(f.SizeBytes, 10),
	}
}

func figureCells(t *library.Track) []string {
	l, p, e := &t.Loudness, &t.Peak, &t.LowEnd
	return []string{
		number(l.IntegratedLUFS, 2), number(l.Loudest30sLUFS, 2), number(l.Loudest30sStartS, 3),
		number(l.ShortTermMaxLUFS, 2), number(l.MomentaryMaxLUFS, 2), number(l.RangeLU, 2),
		number(p.TruePeakDBTP, 2), number(p.SamplePeakDBFS, 2), number(p.PLRLU, 2), strconv.Itoa(p.ClippedRuns),
		number(e.LowDB, 2), number(e.SubDB, 2), number(e.BassDB, 2), number(e.MonoLossDB, 2),
		number(t.Spectrum.BandwidthHz, 0),
	}
}

func tempoKeyCells(t *library.Track) []string {
	m := &t.Measurement.Tempo
	cells := []string{
		number(m.BPM, 2), number(m.AlternativeBPM, 2), number(m.Confidence, 2), number(m.FirstBeatS, 3),
		number(m.DriftPercent, 2),
	}
	if k := t.Measurement.Key; k != nil {
		return append(cells, cell(k.Name), number(k.Confidence, 2), cell(k.RunnerUp), number(k.TuningCents, 0))
	}
	return append(cells, "", "", "", "")
}

func referenceCells(t *library.Track) []string {
	trim := &t.Trim
	return []string{
		cell(string(t.Reference.Basis)), strconv.Itoa(t.Reference.Tracks), number(t.Reference.LUFS, 2), number(t.MismatchDB, 2),
		number(trim.TrimDB, 1), number(trim.SafeDB, 1), number(trim.LimitingDB, 1),
	}
}

var number = words.Data.Number

func optional(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// known writes n, nothing when it is not known.
func known(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}
