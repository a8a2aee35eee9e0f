package page

import (
	"fmt"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/reason"
	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
)

// Order is a running order as a section of a page: the picture, and every place with the
// step that leads to it.
type Order struct {
	Name, Summary, Levelling string
	Warnings                 []string
	Staves                   []stave
	Places                   []orderPlace
	// Out are the steps that stand out.
	Out []*orderStep
	// Live offers the steps to be heard, which takes a server.
	Live bool
}

// orderPlace is one place of a running order.
type orderPlace struct {
	Number      int
	ID          int64 // 0 where no track was found
	Name, Path  string
	Found       string // how, where that was not by its path; what comes near where nothing was
	Trim, Alone string // the trim that levels the set, and the single one where that is another
	BPM, Key    string
	Step        *orderStep
}

// orderStep is what leads to a place.
type orderStep struct {
	From, To int // numbers of the places
	Words    []string
	Flags    []orderFlag
	Hear     *hear
}

// orderFlag is something that stands out.
type orderFlag struct{ Code, Note string }

// NewOrder lays a running order out.
func NewOrder(r *running.Order) *Order {
	o := &Order{Name: words.Clean(r.Name()), Warnings: words.ListWarnings(&r.List), Levelling: levelling(r)}
	before := -1
	for i := range r.Places {
		o.Places = append(o.Places, newOrderPlace(r, i, before))
		if r.Places[i].At >= 0 {
			before = i
		}
		if s := o.Places[i].Step; s != nil && len(s.Flags) > 0 {
			o.Out = append(o.Out, s)
		}
	}
	o.Summary = o.summary(r)
	o.Staves = newStaves(r)
	return o
}

// newOrderPlace lays one place out; before is the place of the track found before it.
func newOrderPlace(r *running.Order, i, before int) orderPlace {
	p := &r.Places[i]
	o := orderPlace{Number: i + 1, Name: words.Entry(&p.Entry), Path: words.Clean(p.Entry.Path), Found: words.Found(&p.Found)}
	t := p.Track
	if t == nil {
		return o
	}
	o.ID, o.Name, o.Path = t.ID, words.Name(t), words.Clean(t.Path)
	o.BPM, o.Key = words.Page.Number(words.Tempo(t), 1), words.Clean(words.KeyName(t))
	trim := r.Trim(p)
	o.Trim = words.Page.Signed(trim, 1)
	if alone := words.Page.Signed(t.Trim.TrimDB, 1); alone != o.Trim {
		o.Alone = alone
	}
	if s := r.Step(p); s != nil {
		o.Step = &orderStep{From: before + 1, To: i + 1, Words: stepWords(s), Flags: orderFlags(s), Hear: newHear(r, &r.Places[before], p)}
	}
	return o
}

func orderFlags(s *setlist.Step) (all []orderFlag) {
	for _, f := range s.Flags {
		all = append(all, orderFlag{f.Code, words.Typeset(f.Note)})
	}
	return all
}

// summary says how many tracks there are, and how many steps stand out.
func (o *Order) summary(r *running.Order) string {
	flagged := len(o.Out)
	said := []string{words.Counted(len(r.Places), "track")}
	if n := len(r.Places) - r.Found(); n > 0 {
		said = append(said, fmt.Sprintf("%d of them not found in the library and left out of the steps", n))
	}
	switch {
	case len(r.Set.Steps) == 0:
		said = append(said, "no step to check")
	case flagged == 0:
		said = append(said, "no step stands out")
	default:
		said = append(said, fmt.Sprintf("%d of %s %s out", flagged, words.Counted(len(r.Set.Steps), "step"), map[bool]string{true: "stands", false: "stand"}[flagged == 1]))
	}
	return strings.Join(said, ", ") + "."
}

// levelling says what the trims do.
func levelling(r *running.Order) string {
	if r.Found() == 0 {
		return ""
	}
	return words.Typeset(r.Set.Levelling.Note)
}

// stepWords are the figures of a step, in words.
func stepWords(s *setlist.Step) (said []string) {
	if v := s.Level.LevelledLU; v.Exists() {
		said = append(said, "level "+words.Page.Change(v, "LU")+without(v, s.Level.LU))
	}
	if v := s.JoinLevel.LevelledLU; v.Exists() && s.JoinLevel.Confidence > 0 {
		said = append(said, "end to start "+words.Page.Change(v, "LU"))
	}
	said = append(said, lowWords("sub", &s.Sub)...)
	said = append(said, lowWords("bass", &s.Bass)...)
	if t := &s.Tempo; t.Percent.Exists() {
		said = append(said, tempoWords(t))
	}
	return append(said, keyWords(&s.Key))
}

// lowWords are those of a step of the low end; none where it is not known.
func lowWords(name string, s *setlist.LowStep) []string {
	switch {
	case s.Missing != "":
		return []string{name + " " + words.Page.Low(s)}
	case s.DB.Exists():
		return []string{name + " " + words.Page.Change(s.DB, "dB")}
	}
	return nil
}

// without says what a step of level is without the trims, where that is another.
func without(with, bare detect.Value) string {
	if a, b := words.Page.Signed(with, 1), words.Page.Signed(bare, 1); a != b {
		return " (" + b + " without the trims)"
	}
	return ""
}

func tempoWords(t *setlist.TempoStep) string {
	text := "tempo " + words.Page.Signed(t.Percent, 1) + "\u00a0%"
	if words.Page.Signed(t.Semitones, 2) != "0.00" {
		text += ", " + words.Page.Signed(t.Semitones, 2) + " semitones without key lock"
	}
	return text + unsure(t.Confidence)
}

func keyWords(h *setlist.HarmonyStep) string {
	if h.Relation == "" {
		return "no key to compare"
	}
	return words.Clean(h.To) + " after " + words.Clean(h.From) + ": " + reason.Harmony[h.Relation] + unsure(h.Confidence)
}

// sureFrom is the chance from which on nothing is said of it.
const sureFrom = 0.75

// unsure says how sure a figure is, where that needs saying.
func unsure(confidence detect.Value) string {
	if !(confidence < sureFrom) {
		return ""
	}
	return " (" + words.Page.Number(100*confidence, 0) + "\u00a0% sure)"
}
