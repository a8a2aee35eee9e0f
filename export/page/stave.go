package page

import (
	"math"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
	"dubgauge/export/running"
	"dubgauge/export/words"
)

// The picture of a running order is written like music: staves of staveTracks tracks under
// each other, each with three lanes of one height and a line for the keys, in SVG units.
const (
	staveTracks = 24
	leastTracks = 8 // for which there is room at least, so that few are not too wide
	columnsWide = 672.0
	staveLeft   = 46.0
	laneHeight  = 62.0
	laneGap     = 22.0
	laneTop     = 20.0
	keyHeight   = 14.0
	staveWidth  = staveLeft + columnsWide + 6
)

// leastSpan is the least that a lane spans, so that a level set looks level: in LU, dB
// and BPM.
var leastSpan = [laneCount]float64{6, 8, 8}

// The lanes.
const (
	levelLane = iota
	lowLane
	tempoLane
	laneCount
)

// stave is a row of the picture.
type stave struct {
	Width, Height string
	Alt           string
	Lanes         []lane
	Numbers       []tick   // of the places; X is the middle
	Missing       []breach // places whose track was not found
	Marks         []mark   // steps that stand out
	KeyY          string   // the line of the keys
	NumberY       string
	column        float64
}

// lane is one quantity along the set.
type lane struct {
	Title        string
	Top, Drop    string // where it begins, and how far down the picture goes from there
	TitleY       string
	Ticks        []tick // X is the height
	Bars, Thin   string // paths: the main figure of each track, the second
	Moves        string // path: what trims do
	Joins        string // path: the figure from track to track
	Left, Right  string
	high, low    float64
	top, bottom  float64
	bars, thin   pen
	moves, joins pen
}

// gap is a part of the width.
type breach struct{ X, Width string }

// mark is a step that stands out, at the border of two tracks.
type mark struct {
	X, Y, Bottom string
	Note         string
}

// newStaves draws the set.
func newStaves(r *running.Order) (all []stave) {
	if r.Found() == 0 {
		return nil
	}
	high, low := spans(r)
	for from := 0; from < len(r.Places); from += staveTracks {
		all = append(all, newStave(r, from, min(from+staveTracks, len(r.Places)), high, low))
	}
	return all
}

// laneFigures are what the lanes show of a track: the main figure and the second one, which
// for the level is that without trims.
func laneFigures(r *running.Order, p *running.Place) (main, second [laneCount]detect.Value) {
	t := &r.Set.Tracks[p.At]
	trim := r.Trim(p)
	if !trim.Exists() {
		trim = 0
	}
	fold := octave(r, t.BPM)
	return [laneCount]detect.Value{t.Loudest.LUFS + trim, setlist.Heard(t.Loudest.SubDB), t.BPM * fold},
		[laneCount]detect.Value{t.Loudest.LUFS, setlist.Heard(t.Loudest.BassDB), t.EndBPM * fold}
}

// octave is the power of two by which a tempo is drawn, so that 87 BPM lies beside 174: it
// brings it nearest to the first tempo of the set.
func octave(r *running.Order, bpm detect.Value) detect.Value {
	for i := range r.Set.Tracks {
		if first := r.Set.Tracks[i].BPM; first > 0 && bpm > 0 {
			return detect.Value(math.Exp2(math.Round(math.Log2(float64(first / bpm)))))
		}
	}
	return 1
}

// spans are the ends of each lane, the same in all staves.
func spans(r *running.Order) (high, low [laneCount]float64) {
	for l := range laneCount {
		high[l], low[l] = math.Inf(-1), math.Inf(1)
	}
	for i := range r.Places {
		if r.Places[i].At < 0 {
			continue
		}
		main, second := laneFigures(r, &r.Places[i])
		for l := range laneCount {
			for _, v := range []detect.Value{main[l], second[l]} {
				if v.Exists() {
					high[l], low[l] = max(high[l], float64(v)), min(low[l], float64(v))
				}
			}
		}
	}
	for l := range laneCount {
		if high[l] < low[l] {
			high[l], low[l] = 0, 0
		}
		if more := leastSpan[l] - (high[l] - low[l]); more > 0 {
			high[l], low[l] = high[l]+more/2, low[l]-more/2
		}
		high[l], low[l] = math.Ceil(high[l]+0.5), math.Floor(low[l]-0.5)
	}
	return high, low
}

var laneTitles = [laneCount]string{
	"Level, LUFS: loudest 30 s with the trims of the set, thin as the file is",
	"Low end, dB against what lies above 150 Hz: sub, thin the bass",
	"Tempo, BPM, octaves folded; thin where a track ends",
}

func newStave(r *running.Order, from, to int, high, low [laneCount]float64) stave {
	bottom := laneTop + laneCount*(laneHeight+laneGap)
	s := stave{
		Width: svg(staveWidth), Height: svg(bottom + keyHeight + 18), Alt: staveAlt(from, to),
		KeyY: svg(bottom + 4), NumberY: svg(bottom + keyHeight + 12),
	}
	s.column = columnsWide / float64(max(leastTracks, min(staveTracks, len(r.Places))))
	right := staveLeft + float64(to-from)*s.column
	for l := range laneCount {
		s.Lanes = append(s.Lanes, newLane(l, right, high[l], low[l]))
	}
	for i := from; i < to; i++ {
		s.place(r, i, staveLeft+float64(i-from)*s.column)
	}
	for l := range s.Lanes {
		s.Lanes[l].finish()
	}
	return s
}

func staveAlt(from, to int) string {
	return "Level, low end and tempo of the places " + words.Page.Number(detect.Value(from+1), 0) + " to " + words.Page.Number(detect.Value(to), 0) + "; the list below has the figures"
}

// place draws one place, whose column begins at x.
func (s *stave) place(r *running.Order, i int, x float64) {
	p := &r.Places[i]
	s.Numbers = append(s.Numbers, tick{svg(x + s.column/2), words.Page.Number(detect.Value(i+1), 0)})
	if p.At < 0 {
		s.Missing = append(s.Missing, breach{svg(x + 3), svg(s.column - 6)})
		for l := range s.Lanes {
			s.Lanes[l].joins.lift()
		}
		return
	}
	main, second := laneFigures(r, p)
	for l := range s.Lanes {
		s.Lanes[l].track(x, s.column, main[l], second[l], l == levelLane)
	}
	if step := r.Step(p); step != nil {
		s.flag(step, x)
	}
}

// laneOf says in which lane a quantity is marked; the keys have a line of their own.
func laneOf(q setlist.Quantity) int {
	switch q {
	case setlist.Level, setlist.JoinLevel:
		return levelLane
	case setlist.Tempo:
		return tempoLane
	case setlist.KeyStep:
		return laneCount
	}
	return lowLane
}

// flag marks what stands out in the step at x, each lane once, by what is gravest there.
func (s *stave) flag(step *setlist.Step, x float64) {
	seen := map[int]bool{}
	for _, f := range step.Flags {
		l := laneOf(f.Quantity)
		if seen[l] {
			continue
		}
		seen[l] = true
		top := laneTop + float64(l)*(laneHeight+laneGap)
		bottom := top + laneHeight
		if l == laneCount {
			top, bottom = top-4, top+keyHeight-4
		}
		s.Marks = append(s.Marks, mark{svg(x), svg(top), svg(bottom), words.Typeset(f.Note)})
	}
}
