package store

import (
	"database/sql/driver"
	"strings"

	"dubgauge/library/track"
)

// column binds a column of the table tracks to a field, both for reading
// (sql.Scanner) and for writing (driver.Valuer).
type column struct {
	name  string
	field any // *string, or one of the types below
}

// scalarColumns are what lists, sheets and verdicts need without parsing the
// whole record. The fields belong to t.
func scalarColumns(t *track.Track) []column { return recordColumns(&t.Record) }

func recordColumns(t *track.Record) []column {
	m := &t.Measurement
	return []column{
		{"title", &t.Tags.Title}, {"artist", &t.Tags.Artist}, {"album", &t.Tags.Album}, {"label", &t.Tags.Label},
		{"catalogue", &t.Tags.CatalogueNumber}, {"isrc", &t.Tags.ISRC}, {"year", whole{&t.Tags.Year}},
		{"genre", &t.Tags.Genre}, {"tag_bpm", maybeFloat{&t.Tags.BPM}}, {"tag_key", &t.Tags.Key}, {"tag_sources", listOf(&t.Tags.Sources)},
		{"format", &m.File.Format}, {"codec", &m.File.Codec}, {"rate", whole{&m.File.SampleRateHz}},
		{"channels", whole{&m.File.Channels}}, {"bits", maybeInt{&m.File.BitDepth}},
		{"kbps", maybeInt{&m.File.BitrateKbps}}, {"duration", number{&m.File.DurationS}},
		{"integrated", number{&m.Loudness.IntegratedLUFS}}, {"loudest", number{&m.Loudness.Loudest30sLUFS}},
		{"loudest_start", number{&m.Loudness.Loudest30sStartS}}, {"short_max", number{&m.Loudness.ShortTermMaxLUFS}},
		{"momentary_max", number{&m.Loudness.MomentaryMaxLUFS}}, {"range", number{&m.Loudness.RangeLU}},
		{"true_peak", number{&m.Peak.TruePeakDBTP}}, {"sample_peak", number{&m.Peak.SamplePeakDBFS}},
		{"plr", number{&m.Peak.PLRLU}}, {"clipped", whole{&m.Peak.ClippedRuns}},
		{"low", number{&m.LowEnd.LowDB}}, {"sub", number{&m.LowEnd.SubDB}}, {"bass", number{&m.LowEnd.BassDB}},
		{"mono", number{&m.LowEnd.MonoLossDB}}, {"bandwidth", number{&m.Spectrum.BandwidthHz}},
		{"balance", balance{&m.Balance, &m.Tempo.Pattern}},
		{"bpm", number{&m.Tempo.BPM}}, {"bpm_alt", number{&m.Tempo.AlternativeBPM}},
		{"bpm_conf", number{&m.Tempo.Confidence}}, {"drift", number{&m.Tempo.DriftPercent}},
		{"key_name", keyName{&m.Key}}, {"key_conf", keyConfidence{&m.Key}},
		{"fingerprint", &m.Fingerprint}, {"faults", faultList{&m.Faults}}, {"error_kind", problemKind{&m.Error}}, {"error_detail", problemDetail{&m.Error}},
	}
}

// columnValue is what is stored of a field.
func columnValue(field any) (driver.Value, error) {
	switch p := field.(type) {
	case *string:
		return *p, nil
	case *int64:
		return *p, nil
	case *bool:
		return *p, nil
	case *[]byte:
		if *p == nil {
			return nil, nil
		}
		return *p, nil
	}
	return field.(driver.Valuer).Value()
}

func columnNames(cols []column) string {
	var b strings.Builder
	for i, c := range cols {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(c.name)
	}
	return b.String()
}

func columnFields(cols []column) []any {
	f := make([]any, len(cols))
	for i, c := range cols {
		f[i] = c.field
	}
	return f
}
