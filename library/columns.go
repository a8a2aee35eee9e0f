package library

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
)

// column binds a column of the table tracks to a field, both for reading
// (sql.Scanner) and for writing (driver.Valuer).
type column struct {
	name  string
	field any // *string, or one of the types below
}

// scalarColumns are what lists, sheets and verdicts need without parsing the
// whole record. The fields belong to t.
func scalarColumns(t *Track) []column {
	m := &t.Measurement
	return []column{
		{"title", &t.Tags.Title}, {"artist", &t.Tags.Artist}, {"album", &t.Tags.Album}, {"label", &t.Tags.Label},
		{"catalogue", &t.Tags.CatalogueNumber}, {"isrc", &t.Tags.ISRC}, {"year", whole{&t.Tags.Year}},
		{"genre", &t.Tags.Genre}, {"tag_bpm", maybeFloat{&t.Tags.BPM}}, {"tag_key", &t.Tags.Key},
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
		{"bpm", number{&m.Tempo.BPM}}, {"bpm_alt", number{&m.Tempo.AlternativeBPM}},
		{"bpm_conf", number{&m.Tempo.Confidence}}, {"drift", number{&m.Tempo.DriftPercent}},
		{"key_name", keyName{&m.Key}}, {"key_conf", keyConfidence{&m.Key}},
		{"fingerprint", &m.Fingerprint}, {"faults", faultList{&m.Faults}}, {"error_kind", problemKind{&m.Error}}, {"error_detail", problemDetail{&m.Error}},
	}
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

// number is a Value, NULL when it does not exist.
type number struct{ v *detect.Value }

func (n number) Scan(src any) error {
	switch x := src.(type) {
	case nil:
		*n.v = detect.None
	case float64:
		*n.v = detect.Value(x)
	case int64:
		*n.v = detect.Value(x)
	default:
		return fmt.Errorf("a number expected, %T found", src)
	}
	return nil
}

func (n number) Value() (driver.Value, error) {
	if !n.v.Exists() {
		return nil, nil
	}
	// As in the record, so that both give the same number.
	return math.Round(float64(*n.v)*1e4) / 1e4, nil
}

// whole is an int that is never NULL.
type whole struct{ v *int }

func (w whole) Scan(src any) error {
	x, ok := src.(int64)
	if !ok {
		return fmt.Errorf("a whole number expected, %T found", src)
	}
	*w.v = int(x)
	return nil
}

func (w whole) Value() (driver.Value, error) { return int64(*w.v), nil }

// maybeInt is NULL for nil.
type maybeInt struct{ v **int }

func (m maybeInt) Scan(src any) error {
	*m.v = nil
	if x, ok := src.(int64); ok {
		n := int(x)
		*m.v = &n
	}
	return nil
}

func (m maybeInt) Value() (driver.Value, error) {
	if *m.v == nil {
		return nil, nil
	}
	return int64(**m.v), nil
}

// maybeFloat is NULL for nil.
type maybeFloat struct{ v **float64 }

func (m maybeFloat) Scan(src any) error {
	*m.v = nil
	if x, ok := src.(float64); ok {
		*m.v = &x
	}
	return nil
}

func (m maybeFloat) Value() (driver.Value, error) {
	if *m.v == nil {
		return nil, nil
	}
	return **m.v, nil
}

// keyName and keyConfidence, in that order, hold a key; an empty name is none.
type (
	keyName       struct{ v **detect.Key }
	keyConfidence struct{ v **detect.Key }
)

func (k keyName) Scan(src any) error {
	*k.v = nil
	if name, _ := src.(string); name != "" {
		tonic, mode, _ := strings.Cut(name, " ")
		*k.v = &detect.Key{Name: name, Tonic: tonic, Mode: mode,
			Confidence: detect.None, TuningCents: detect.None, Agreement: detect.None}
	}
	return nil
}

func (k keyName) Value() (driver.Value, error) {
	if *k.v == nil {
		return "", nil
	}
	return (*k.v).Name, nil
}

func (k keyConfidence) Scan(src any) error {
	if *k.v == nil {
		return nil
	}
	return number{&(*k.v).Confidence}.Scan(src)
}

func (k keyConfidence) Value() (driver.Value, error) {
	if *k.v == nil {
		return nil, nil
	}
	return number{&(*k.v).Confidence}.Value()
}

// faultList is JSON, NULL when empty.
type faultList struct{ v *[]detect.Fault }

func (f faultList) Scan(src any) error {
	*f.v = []detect.Fault{}
	if s, _ := src.(string); s != "" {
		return json.Unmarshal([]byte(s), f.v)
	}
	return nil
}

func (f faultList) Value() (driver.Value, error) {
	if len(*f.v) == 0 {
		return nil, nil
	}
	b, err := json.Marshal(*f.v)
	return string(b), err
}

// problemKind and problemDetail, in that order, hold why a file was not
// measured; NULL when it was.
type (
	problemKind   struct{ v **detect.Problem }
	problemDetail struct{ v **detect.Problem }
)

func (p problemKind) Scan(src any) error {
	*p.v = nil
	if kind, _ := src.(string); kind != "" {
		*p.v = &detect.Problem{Kind: reason.ProblemKind(kind)}
	}
	return nil
}

func (p problemKind) Value() (driver.Value, error) {
	if *p.v == nil {
		return nil, nil
	}
	return string((*p.v).Kind), nil
}

func (p problemDetail) Scan(src any) error {
	if s, ok := src.(string); ok && *p.v != nil {
		(*p.v).Detail = s
	}
	return nil
}

func (p problemDetail) Value() (driver.Value, error) {
	if *p.v == nil {
		return nil, nil
	}
	return (*p.v).Detail, nil
}
