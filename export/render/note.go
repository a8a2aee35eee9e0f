package render

import (
	"fmt"

	"dubgauge/detect"
	"dubgauge/detect/advice"
	"dubgauge/detect/reason"
	"dubgauge/export/words"
	"dubgauge/library"
)

// Done is what was done for a copy: the note beside it.
type Done struct {
	Copy      string       `json:"copy"`   // its file
	Source    string       `json:"source"` // that of the track
	Format    Format       `json:"format"`
	BitDepth  int          `json:"bit_depth"`
	Against   string       `json:"against"` // what the trim comes from
	Reference detect.Value `json:"reference_lufs"`
	Before    Level        `json:"before"`
	After     Level        `json:"after"`
	// TrimDB is what of the trim is in the copy; GainDB the gain, which before a limiter
	// is more; MissingDB what the peaks did not allow.
	TrimDB    detect.Value `json:"trim_db"`
	GainDB    detect.Value `json:"gain_db"`
	MissingDB detect.Value `json:"missing_db"`
	Limited   *Limited     `json:"limited"` // null without a limiter
	// Moves are the filters that came first; the trim is that of the track behind them.
	Moves []advice.Move `json:"moves,omitempty"`
	Said  []string      `json:"said"`
}

// Level is where a track lies.
type Level struct {
	LUFS detect.Value `json:"loudest_30s_lufs"` // as it is played
	Peak detect.Value `json:"true_peak_dbtp"`
}

// Limited is what the limiter took off.
type Limited struct {
	CeilingDBTP detect.Value  `json:"ceiling_dbtp"`
	MaxDB       detect.Value  `json:"max_db"`
	MaxAtS      detect.Value  `json:"max_at_s"`
	P95DB       detect.Value  `json:"p95_db"`
	Over2       detect.Value  `json:"over_2_db_share"`
	PlacesS     detect.Values `json:"places_s"` // where most came off
}

func newDone(t *library.Track, p *Plan, f Format, file string, got outcome) Done {
	d := Done{
		Copy: file, Source: t.DiskPath(), Format: f, BitDepth: bits, Against: words.Plain.Group(&t.Reference), Reference: t.Reference.LUFS,
		Before: Level{t.PlayedLUFS(), t.Peak.TruePeakDBTP}, After: Level{detect.Value(got.lufs), detect.Value(got.peak)},
		TrimDB: detect.Value(p.Wanted - p.Missing), GainDB: detect.Value(p.Gain), MissingDB: detect.Value(p.Missing),
		Moves: p.Moves,
	}
	if p.Limited {
		r := &got.reduction
		d.Limited = &Limited{detect.Value(p.Ceiling), detect.Value(r.MaxDB), detect.Value(r.MaxAtS), detect.Value(r.P95DB), detect.Value(r.Over2), detect.Values{}}
		for _, s := range r.PlacesS {
			d.Limited.PlacesS = append(d.Limited.PlacesS, detect.Value(s))
		}
	}
	d.Said = d.say()
	return d
}

// say puts it in words.
func (d *Done) say() []string {
	w := words.Plain
	out := []string{fmt.Sprintf("Trim %s in the file: loudest 30 s %s, true peak %s.", w.Change(d.TrimDB, "dB"), w.Figure(d.After.LUFS, "LUFS"), w.Change(d.After.Peak, "dBTP"))}
	for _, m := range d.Moves {
		out = append(out, "Before it: "+m.Setting()+".")
	}
	if d.Limited != nil {
		out = append(out, d.Limited.say())
	}
	if d.MissingDB >= 0.05 {
		out = append(out, fmt.Sprintf("%s of the trim are missing, as the peaks leave no more room: give the rest at the mixer, or take the limiter.", w.Figure(d.MissingDB, "dB")))
	}
	return out
}

func (l *Limited) say() string {
	w := words.Plain
	s := fmt.Sprintf("The limiter took off %s at most, %s or less for 95 %% of the time", w.Figure(l.MaxDB, "dB"), w.Figure(l.P95DB, "dB"))
	if at := w.Clock(l.MaxAtS); at != "" {
		s += ", most at " + at
	}
	if l.MaxDB > reason.GentleDB+0.05 {
		s += ". That is more than about 3 dB at once: listen to it against the original, and get the rest in the mix"
	}
	return s + "."
}
