package store

import (
	"encoding/json"
	"slices"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/standout"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// fields of a track in a line: all that is known and said of it, but the text of what is
// said and the fingerprint. The scratch fields are of the track that is read next.
type keptTrack struct {
	t                              track.Track
	size, mtime, measured, missing int64
	group                          int64
	fields                         []any
	brief                          []any // the same, nil for what lists do not show
}

// unlisted are the columns that neither lists nor trim sheets show.
var unlisted = []string{"fingerprint", "album", "label", "catalogue", "isrc", "genre", "tag_sources", "codec", "balance", "limiting"}

func newKeptTrack() *keptTrack {
	k := &keptTrack{}
	t := &k.t
	both := func(fields ...any) { k.fields, k.brief = append(k.fields, fields...), append(k.brief, fields...) }
	both(&t.ID, &t.Root, &t.Path, &t.Disk, &k.size, &k.mtime, &k.measured, &k.missing, &t.Version, textOf(&t.Marks.Status), &t.Marks.Reference, &t.Marks.Ignore)
	k.fields, k.brief = append(k.fields, &t.Content, &t.Whole), append(k.brief, nil, nil)
	for _, c := range scalarColumns(t) {
		switch {
		case c.name == "fingerprint": // it served its purpose
		case slices.Contains(unlisted, c.name):
			k.fields, k.brief = append(k.fields, c.field), append(k.brief, nil)
		default:
			both(c.field)
		}
	}
	both(textOf(&t.Status), textOf(&t.Verdict), codes{&t.Reasons}, exact{&t.MismatchDB}, exact{&t.Past},
		exact{&t.Trim.TrimDB}, exact{&t.Trim.SafeDB}, exact{&t.Trim.LimitingDB},
		exact{&t.Trim.LimitingP95DB}, exact{&t.Trim.LimitingOver2}, exact{&t.Trim.LimitingAtS}, exact{&t.Trim.MixShortDB}, exact{&t.Trim.FlatShare},
		deviations{&t.Deviations}, &t.Unlike,
		textOf(&t.Reference.Basis), exact{&t.Reference.BPM}, &k.group, &t.Twin)
	return k
}

// said is the rest of what is said of a track: what lists do not show.
type said struct {
	Evidence []status.Evidence `json:"e,omitempty"`
	Faults   []detect.Fault    `json:"f,omitempty"` // those of track.Added
	Notes    []string          `json:"n,omitempty"`
	Tone     []standout.Move   `json:"t,omitempty"`
}

// keptGroup is a reference group, without what differs from track to track.
type keptGroup struct {
	Tracks  int                                 `json:"tracks"`
	LUFS    detect.Value                        `json:"lufs"`
	Stats   map[standout.Quantity]standout.Stat `json:"stats"`
	Members []int64                             `json:"members"`
}

// line appends a track with the number of its group to line.
func (k *keptTrack) line(line []byte, t *track.Track, group int64) (_, rest []byte, err error) {
	k.t, k.group = *t, group
	k.size, k.mtime, k.measured, k.missing = t.Measurement.File.SizeBytes, stampOf(t.ModTime), stampOf(t.MeasuredAt), stampOf(t.MissingSince)
	k.t.Faults = t.Faults[:len(t.Faults)-len(t.Added())] // the others are in rest
	for _, f := range k.fields {
		v, err := columnValue(f)
		if err != nil {
			return line, nil, err
		}
		line = appendValue(line, v)
	}
	rest, err = json.Marshal(said{t.Evidence, t.Added(), t.Notes, t.Tone})
	return line, rest, err
}

// stampOf is a time in ns since 1970; 0 is no time.
func stampOf(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixNano()
}

func timeOf(stamp int64) time.Time {
	if stamp == 0 {
		return time.Time{}
	}
	return time.Unix(0, stamp)
}

// read reads what line wrote into t; rest may be nil.
func (k *keptTrack) read(line, rest []byte, groups map[int64]*keptGroup) error {
	root := k.t.Root
	k.t = track.Track{Root: root, Record: track.Record{Measurement: detect.Empty()}}
	var err error
	fields := k.fields
	if rest == nil {
		fields = k.brief
	}
	for _, f := range fields {
		if line, err = takeValue(line, f); err != nil {
			return err
		}
	}
	t := &k.t
	t.Measurement.File.SizeBytes = k.size
	t.ModTime, t.MeasuredAt, t.MissingSince = timeOf(k.mtime), timeOf(k.measured), timeOf(k.missing)
	g := groups[k.group]
	if len(line) > 0 || g == nil {
		return errLine
	}
	t.Reference.Tracks, t.Reference.LUFS, t.Reference.Stats, t.Members = g.Tracks, g.LUFS, g.Stats, g.Members
	t.Notes, t.Tone = []string{}, []standout.Move{}
	if rest == nil {
		return nil
	}
	var s said
	if err := json.Unmarshal(rest, &s); err != nil {
		return err
	}
	if t.Evidence = s.Evidence; t.Evidence == nil {
		t.Evidence = []status.Evidence{}
	}
	if s.Notes != nil {
		t.Notes = s.Notes
	}
	if s.Tone != nil {
		t.Tone = s.Tone
	}
	for _, f := range s.Faults {
		t.AddFault(f)
	}
	return nil
}
