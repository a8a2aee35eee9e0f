// Package export holds everything that goes out: the trim sheet and the table
// of all figures as CSV, the records as JSON Lines, the report page and the
// local server that shows the same page live, with level-matched listening.
//
// CSV is RFC 4180 in UTF-8 with a header. Levels are in LUFS, dBTP or dB, times
// in seconds, frequencies in hertz, tempi in BPM; a number that does not exist
// is an empty cell. Text never reaches a file, a page or a spreadsheet
// uncleaned: no control characters, no formula, every character of HTML escaped.
package export

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"dubgauge/detect"
	"dubgauge/library"
)

// trimHeader is fixed: other programs read the trim sheet.
var trimHeader = []string{
	"path", "title", "artist", "status", "verdict", "bpm", "key", "integrated_lufs", "loudest_30s_lufs",
	"true_peak_dbtp", "sub_db", "bass_db", "reference_lufs", "reference_tracks", "mismatch_db", "trim_db",
	"safe_trim_db", "limiting_db", "reasons",
}

// TrimsCSV writes the trim sheet: one row a track, worst mismatch first,
// without the tracks marked to be ignored. tracks is left as it is.
func TrimsCSV(w io.Writer, tracks []library.Track) error {
	return writeCSV(w, trimHeader, tracks, trimRow)
}

func trimRow(t *library.Track) []string {
	trim := Trims(t)
	return []string{
		cell(t.Path), cell(t.Tags.Title), cell(t.Tags.Artist), string(t.Status), string(t.Verdict),
		number(Tempo(t), 2), cell(keyName(t)),
		number(t.Loudness.IntegratedLUFS, 2), number(t.Loudness.Loudest30sLUFS, 2), number(t.Peak.TruePeakDBTP, 2),
		number(t.LowEnd.SubDB, 2), number(t.LowEnd.BassDB, 2),
		number(t.Reference.LUFS, 2), strconv.Itoa(t.Reference.Tracks), number(t.MismatchDB, 2),
		number(trim.TrimDB, 1), number(trim.SafeDB, 1), number(trim.LimitingDB, 1),
		cell(strings.Join(t.Reasons, "; ")),
	}
}

// trackHeader names every single figure as the measurement record does.
var trackHeader = []string{
	"path", "root", "title", "artist", "album", "label", "isrc", "year", "genre", "tag_bpm", "tag_key",
	"status", "marked", "verdict", "reasons", "faults", "error",
	"format", "codec", "sample_rate_hz", "channels", "bit_depth", "bitrate_kbps", "duration_s", "size_bytes",
	"integrated_lufs", "loudest_30s_lufs", "loudest_30s_start_s", "short_term_max_lufs", "momentary_max_lufs", "range_lu",
	"true_peak_dbtp", "sample_peak_dbfs", "plr_lu", "clipped_runs",
	"low_db", "sub_db", "bass_db", "mono_loss_db", "bandwidth_hz",
	"bpm", "alternative_bpm", "tempo_confidence", "first_beat_s", "drift_percent",
	"key", "key_confidence", "key_runner_up", "tuning_cents",
	"reference_basis", "reference_tracks", "reference_lufs", "mismatch_db", "trim_db", "safe_trim_db", "limiting_db",
}

// TracksCSV writes every single figure of every track, worst mismatch first,
// without the tracks marked to be ignored. tracks is left as it is.
func TracksCSV(w io.Writer, tracks []library.Track) error {
	return writeCSV(w, trackHeader, tracks, trackRow)
}

func trackRow(t *library.Track) []string {
	return join(tagCells(t), judgedCells(t), fileCells(t), figureCells(t), tempoKeyCells(t), referenceCells(t))
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
	var words []string
	if m.Status != "" {
		words = append(words, string(m.Status))
	}
	if m.Reference {
		words = append(words, "reference")
	}
	if m.Ignore {
		words = append(words, "ignore")
	}
	return strings.Join(words, "; ")
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
	trim := Trims(t)
	return []string{
		cell(string(t.Reference.Basis)), strconv.Itoa(t.Reference.Tracks), number(t.Reference.LUFS, 2), number(t.MismatchDB, 2),
		number(trim.TrimDB, 1), number(trim.SafeDB, 1), number(trim.LimitingDB, 1),
	}
}

func writeCSV(w io.Writer, header []string, tracks []library.Track, row func(*library.Track) []string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, 2.1
	if err := c.Write(header); err != nil {
		return err
	}
	sorted := shown(tracks)
	Sort(sorted, ByMismatch)
	for i := range sorted {
		if err := c.Write(row(&sorted[i])); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// shown copies the tracks that are not to be ignored.
func shown(tracks []library.Track) []library.Track {
	kept := make([]library.Track, 0, len(tracks))
	for _, t := range tracks {
		if !t.Marks.Ignore {
			kept = append(kept, t)
		}
	}
	return kept
}

// keyName is the measured key, empty where there is none. What a tag says never
// stands in for it.
func keyName(t *library.Track) string {
	if k := t.Measurement.Key; k != nil {
		return k.Name
	}
	return ""
}

// number writes v with a fixed count of decimals, nothing when it does not
// exist, and never a negative zero.
func number(v detect.Value, decimals int) string {
	if !v.Exists() {
		return ""
	}
	s := strconv.FormatFloat(float64(v), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return s
}

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

func join(parts ...[]string) []string {
	var all []string
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}
