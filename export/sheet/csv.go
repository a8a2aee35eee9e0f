// Package sheet writes tracks for other programs: the trim sheet and the table of
// all figures as CSV, the records as JSON Lines.
//
// CSV is RFC 4180 in UTF-8 with a header. Levels are in LUFS, dBTP or dB, times
// in seconds, frequencies in hertz, tempi in BPM; a number that does not exist
// is an empty cell. No text is taken for a formula by any spreadsheet.
package sheet

import (
	"bytes"
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"dubgauge/export/whole"
	"dubgauge/export/words"
	"dubgauge/library"
)

// trimHeader is fixed: other programs read the trim sheet.
var trimHeader = []string{
	"path", "title", "artist", "status", "verdict", "bpm", "key", "integrated_lufs", "loudest_30s_lufs",
	"true_peak_dbtp", "sub_db", "bass_db", "reference_lufs", "reference_tracks", "mismatch_db", "trim_db",
	"safe_trim_db", "limiting_db", "reasons", "root",
}

// TrimsCSV writes the trim sheet: one row a track in the order of key, without the
// tracks marked to be ignored. tracks is left as it is.
func TrimsCSV(w io.Writer, tracks []library.Track, key words.SortKey) error {
	return writeCSV(w, trimHeader, words.Sorted(tracks, key), nil, trimRow)
}

func trimRow(t *library.Track) []string {
	trim := &t.Trim
	return []string{
		cell(t.Path), cell(t.Tags.Title), cell(t.Tags.Artist), string(t.Status), string(t.Verdict),
		number(words.Tempo(t), 2), cell(words.KeyName(t)),
		number(t.Loudness.IntegratedLUFS, 2), number(t.Loudness.Loudest30sLUFS, 2), number(t.Peak.TruePeakDBTP, 2),
		number(t.LowEnd.SubDB, 2), number(t.LowEnd.BassDB, 2),
		number(t.Reference.LUFS, 2), strconv.Itoa(t.Reference.Tracks), number(t.MismatchDB, 2),
		number(trim.TrimDB, 1), number(trim.SafeDB, 1), number(trim.LimitingDB, 1),
		cell(strings.Join(t.Reasons, "; ")), cell(t.Root),
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
	"loudest_30s_over_s",
}

// TracksCSV writes every single figure of every track in the order of key, without
// the tracks marked to be ignored. tracks is left as it is.
func TracksCSV(w io.Writer, tracks []library.Track, key words.SortKey, fill whole.Fill) error {
	return writeCSV(w, trackHeader, words.Sorted(tracks, key), fill, trackRow)
}

func trackRow(t *library.Track) []string {
	return join(tagCells(t), judgedCells(t), fileCells(t), figureCells(t), tempoKeyCells(t), referenceCells(t),
		[]string{number(t.Loudness.Loudest30sOverS, 1)})
}

func writeCSV(w io.Writer, header []string, tracks []*library.Track, fill whole.Fill, row func(*library.Track) []string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, 2.1
	if err := c.Write(header); err != nil {
		return err
	}
	if err := whole.Tracks(tracks, fill, func(t *library.Track) error { return c.Write(row(t)) }); err != nil {
		return err
	}
	c.Flush()
	return c.Error()
}

// Ours tells, by the first bytes of a file, that this package wrote it and nobody added
// a column.
func Ours(head []byte) bool {
	if oursList(head) {
		return true
	}
	line, _, _ := bytes.Cut(head, []byte("\n"))
	if line, ok := bytes.CutPrefix(line, []byte(`{"`)); ok {
		return oursJSON(line)
	}
	cells := strings.Split(strings.TrimSuffix(string(line), "\r"), ",")
	for _, header := range [][]string{trimHeader, orderHeader, trackHeader} {
		// Sheets of older versions have fewer columns.
		if n := len(cells); n >= oldestHeader && n <= len(header) && slices.Equal(cells, header[:n]) {
			return true
		}
	}
	return false
}

// oldestHeader is how many columns the sheets had when they had the fewest.
const oldestHeader = 19

// oursJSON tells a line of ours, without its opening, by how it begins and by fields
// that stand side by side in no other program's.
func oursJSON(line []byte) bool {
	switch {
	case bytes.HasPrefix(line, []byte(`path":"`)):
		return bytes.Contains(line, []byte(`"verdict":`)) && bytes.Contains(line, []byte(`"loudest_30s_lufs":`))
	case bytes.HasPrefix(line, []byte(`id":`)):
		return bytes.Contains(line, []byte(`"root":"`)) && bytes.Contains(line, []byte(`"path":"`)) && bytes.Contains(line, []byte(`"tags":{`))
	}
	return false
}

func join(parts ...[]string) []string {
	var all []string
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}
