package madeup

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library"
)

// Track builds a track of invented figures; mismatch and trims follow from the
// level and a group at -7 LUFS, as the judge would have it.
func Track(id int64, path string, level float64) library.Track {
	t := library.Track{ID: id, Root: "/music", Record: library.Record{Path: path, Measurement: detect.Empty()}}
	t.Loudness.Loudest30sLUFS = detect.Value(level)
	t.Loudness.IntegratedLUFS = detect.Value(level - 1)
	t.Peak.TruePeakDBTP = -0.4
	t.Status, t.Verdict = library.Unreleased, standout.Ready
	t.Reference = standout.Group{Basis: "released", Tracks: 12, LUFS: -7, BPM: detect.None}
	t.MismatchDB = detect.Value(level + 7)
	t.Past = detect.Value(math.Abs(level+7) / 2)
	wanted := detect.Value(math.Round(-10*float64(t.MismatchDB)) / 10)
	t.Judgement.Trim = standout.NoTrim
	t.Judgement.Trim.TrimDB, t.Judgement.Trim.SafeDB, t.Judgement.Trim.LimitingDB = wanted, min(wanted, 0.1), max(0, wanted-0.1)
	return t
}
