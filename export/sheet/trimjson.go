package sheet

import (
	"encoding/json"
	"io"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// trimLine is a row of the trim sheet under the names of its columns.
type trimLine struct {
	Path            string           `json:"path"`
	Title           string           `json:"title"`
	Artist          string           `json:"artist"`
	Status          library.Status   `json:"status"`
	Verdict         standout.Verdict `json:"verdict"`
	BPM             detect.Value     `json:"bpm"`
	Key             *string          `json:"key"`
	IntegratedLUFS  detect.Value     `json:"integrated_lufs"`
	Loudest30sLUFS  detect.Value     `json:"loudest_30s_lufs"`
	TruePeakDBTP    detect.Value     `json:"true_peak_dbtp"`
	SubDB           detect.Value     `json:"sub_db"`
	BassDB          detect.Value     `json:"bass_db"`
	ReferenceLUFS   detect.Value     `json:"reference_lufs"`
	ReferenceTracks int              `json:"reference_tracks"`
	MismatchDB      detect.Value     `json:"mismatch_db"`
	standout.Trim
	Reasons []string `json:"reasons"`
	Root    string   `json:"root"`
}

// TrimsJSON writes the trim sheet as JSON Lines: one object a track under the
// names of the CSV's columns, in the order of key, without the tracks marked to be
// ignored. tracks is left as it is.
func TrimsJSON(w io.Writer, tracks []library.Track, key words.SortKey) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	for _, t := range words.Sorted(tracks, key) {
		if err := e.Encode(trimLineOf(t)); err != nil {
			return err
		}
	}
	return nil
}

func trimLineOf(t *library.Track) trimLine {
	line := trimLine{
		Path: t.Path, Title: t.Tags.Title, Artist: t.Tags.Artist, Status: t.Status, Verdict: t.Verdict,
		BPM: words.Tempo(t), IntegratedLUFS: t.Loudness.IntegratedLUFS, Loudest30sLUFS: t.Loudness.Loudest30sLUFS,
		TruePeakDBTP: t.Peak.TruePeakDBTP, SubDB: t.LowEnd.SubDB, BassDB: t.LowEnd.BassDB,
		ReferenceLUFS: t.Reference.LUFS, ReferenceTracks: t.Reference.Tracks,
		MismatchDB: t.MismatchDB, Trim: t.Trim, Reasons: t.Reasons, Root: t.Root,
	}
	if k := words.KeyName(t); k != "" {
		line.Key = &k
	}
	return line
}
