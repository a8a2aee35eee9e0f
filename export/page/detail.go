package page

import (
	"dubgauge/detect/standout"
	"dubgauge/export/words"
	"dubgauge/library"
)

// detail is one track in full, as the page shows it.
type detail struct {
	ID                        int64
	Path, Verdict, Against    string
	Sentence                  string
	More                      []string // sentences beyond the first, which the row shows
	Trim                      string
	Figures                   []figure
	Strips                    bool // draw each figure against its group's range
	Other, File, Tempo, Key   string
	Faults                    []faultLine
	Problem                   string
	Versions                  string
	Status, Decided           string
	Evidence                  []string
	Spectrum                  *spectrumChart
	Timeline                  *timelineChart
	Advice, Width, Bottom     []string // what to change in the master; none where it was not asked
	Marked                    library.Marks
	Released, Unreleased, Any bool // what the marks say
	Live                      bool // marks can be set
	Listen                    *Listen
	Looks                     bool     // it can be looked at closer
	Hold                      []Choice // what it can be held against
}

type faultLine struct{ At, Text string }

// newDetail gathers a track. points bounds its timeline; see newTimeline.
func newDetail(t *library.Track, g *groups, points int) (*detail, error) {
	d := &detail{
		ID: t.ID, Path: words.Clean(t.Path), Verdict: words.Verdict(t), Against: words.Page.Group(&t.Reference), Sentence: words.Sentence(t),
		Trim: words.Page.TrimWords(t), Other: words.Others(t), File: words.Page.File(t), Tempo: words.Page.Tempo(t), Key: words.Page.Key(t),
		Figures: figures(t), Status: string(t.Status), Marked: t.Marks,
		Released: t.Marks.Status == library.Released, Unreleased: t.Marks.Status == library.Unreleased,
		Any: t.Marks != library.Marks{},
	}
	for _, n := range t.Notes[min(1, len(t.Notes)):] {
		d.More = append(d.More, words.Typeset(n))
	}
	for _, f := range t.Faults {
		d.Faults = append(d.Faults, faultLine{words.Page.Clock(f.AtS), words.Typeset(f.Detail)})
	}
	if t.Error != nil {
		d.Problem = words.Capital(words.Clean(string(t.Error.Kind))) + ": " + words.Typeset(t.Error.Detail) + "."
	}
	d.Versions = words.Page.Versions(t)
	d.Decided = words.Decided(t)
	for _, e := range t.Evidence {
		d.Evidence = append(d.Evidence, words.Evidence(e))
	}
	drawn, err := g.of(t)
	if err != nil {
		return nil, err
	}
	d.Spectrum = newSpectrum(t, drawn)
	d.Timeline = newTimeline(t, points)
	return d, nil
}

// ownMaster tells a track that somebody may still change, and that something is said
// against: of a report, the advice is for those.
func ownMaster(t *library.Track) bool {
	return t.Status != library.Released && t.Verdict != standout.Ready
}

// advise says what to change in the master, and draws where the spectrum would lie.
func (d *detail) advise(t *library.Track, g *groups) error {
	drawn, err := g.of(t)
	if err != nil || drawn == nil || !t.TakesPart() {
		return err
	}
	members, err := g.members(t.Members)
	if err != nil {
		return err
	}
	a := t.Advice(members)
	for _, s := range words.Advice(t, &a) {
		d.Advice = append(d.Advice, words.Typeset(s))
	}
	for _, s := range words.Page.Width(t, &a) {
		d.Width = append(d.Width, words.Typeset(s))
	}
	for _, s := range a.Bottom.Sentences() {
		d.Bottom = append(d.Bottom, words.Typeset(s))
	}
	if d.Spectrum == nil || len(a.Moves) == 0 {
		return nil
	}
	var line pen
	for i, left := range a.LeftDB {
		if i >= len(drawn.p50) || !left.Exists() {
			line.lift()
			continue
		}
		line.to(bandX(i), chartY(float64(drawn.p50[i]+left), spectrumHigh, spectrumLow))
	}
	d.Spectrum.Moved = line.String()
	return nil
}
