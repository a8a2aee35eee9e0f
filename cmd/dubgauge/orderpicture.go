package main

import (
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/setlist"
)

// The picture of a set: a column a track, or, where there are more tracks than columns, one
// for a few.
const (
	pictureRows  = 3 // of level, of the low end and of tempo
	labelColumns = 13
	widestColumn = 4 // characters of a track
)

// mark is a sign that is drawn at a height.
type mark struct {
	sign   byte
	height detect.Value
}

// lane is one quantity of the picture. A later mark lies over an earlier one.
type lane struct {
	name, unit string
	least      float64 // the height that all rows have at least
	marks      func(t *setlist.Track, trim detect.Value) []mark
	flags      map[setlist.Quantity]bool
}

var lanes = []lane{
	{"level", "LUFS", 3, func(t *setlist.Track, trim detect.Value) []mark {
		return []mark{{'+', t.Loudest.LUFS + trim}, {'o', t.Loudest.LUFS}}
	}, map[setlist.Quantity]bool{setlist.Level: true, setlist.JoinLevel: true}},
	{"low end", "dB", 3, func(t *setlist.Track, _ detect.Value) []mark {
		return []mark{{'b', setlist.Heard(t.Loudest.BassDB)}, {'s', setlist.Heard(t.Loudest.SubDB)}}
	}, map[setlist.Quantity]bool{setlist.Sub: true, setlist.Bass: true, setlist.JoinSub: true, setlist.JoinBass: true}},
	{"tempo", "BPM", 4, func(t *setlist.Track, _ detect.Value) []mark { return []mark{{'o', t.BPM}} },
		map[setlist.Quantity]bool{setlist.Tempo: true}},
}

// orderPicture draws level, low end and tempo along the set. Under each, ! marks the steps
// that stand out; the last line has those of the keys.
func orderPicture(s *setlist.Set, width int) []string {
	n := len(s.Tracks)
	if n == 0 {
		return nil
	}
	p := picture{set: s, columns: min(n, max(10, width-labelColumns))}
	p.wide = max(1, min(widestColumn, (width-labelColumns)/p.columns))
	lines := []string{"", "   #" + strings.Repeat(" ", labelColumns-4) + p.axis()}
	for i := range lanes {
		lines = append(lines, p.lane(&lanes[i])...)
	}
	keys := p.flagRow("key", map[setlist.Quantity]bool{setlist.KeyStep: true})
	if keys != "" {
		lines = append(lines, keys)
	}
	return append(lines, "Level: o the file, + with its trim. Low end: s sub, b bass. ! stands out.")
}

// picture is where things are drawn.
type picture struct {
	set     *setlist.Set
	columns int
	wide    int // characters of a column
}

// column is where a track is drawn.
func (p *picture) column(track int) int { return track * p.columns / len(p.set.Tracks) }

// place is the character of a column, at its right.
func (p *picture) place(column int) int { return labelColumns + (column+1)*p.wide - 1 }

// axis numbers the tracks, as many as fit.
func (p *picture) axis() string {
	row := []byte(strings.Repeat(" ", p.columns*p.wide))
	until := -1
	for t := range p.set.Tracks {
		text := fmt.Sprint(p.set.Tracks[t].Place)
		end := (p.column(t) + 1) * p.wide
		if from := end - len(text); from > until {
			copy(row[from:], text)
			until = end
		}
	}
	return string(row)
}

// lane draws one quantity.
func (p *picture) lane(l *lane) []string {
	low, high := math.Inf(1), math.Inf(-1)
	all := make([][]mark, len(p.set.Tracks))
	for i := range p.set.Tracks {
		trim := p.set.Levelling.Trims[i]
		all[i] = l.marks(&p.set.Tracks[i], trim)
		for _, m := range all[i] {
			if m.height.Exists() {
				low, high = min(low, float64(m.height)), max(high, float64(m.height))
			}
		}
	}
	if low > high {
		return nil
	}
	if grow := (l.least - (high - low)) / 2; grow > 0 {
		low, high = low-grow, high+grow
	}
	step := (high - low) / pictureRows
	rows := make([][]byte, pictureRows)
	for r := range rows {
		rows[r] = []byte(strings.Repeat(" ", labelColumns+p.columns*p.wide))
		copy(rows[r], fmt.Sprintf("%6.1f", math.Round(10*(high-(float64(r)+0.5)*step))/10+0)) // no -0.0
	}
	copy(rows[0][7:], l.unit)
	for t, marks := range all {
		for _, m := range marks {
			if m.height.Exists() {
				r := min(pictureRows-1, int((high-float64(m.height))/step))
				rows[r][p.place(p.column(t))] = m.sign
			}
		}
	}
	lines := []string{}
	for _, r := range rows {
		lines = append(lines, string(r))
	}
	if flags := p.flagRow(l.name, l.flags); flags != "" {
		lines = append(lines, flags)
	}
	return lines
}

// flagRow marks the tracks whose step from the one before stands out in some quantities; empty
// where none does.
func (p *picture) flagRow(name string, of map[setlist.Quantity]bool) string {
	row := []byte(strings.Repeat(" ", labelColumns+p.columns*p.wide))
	copy(row, " "+name)
	any := false
	for i := range p.set.Steps {
		for _, f := range p.set.Steps[i].Flags {
			if of[f.Quantity] {
				row[p.place(p.column(i+1))] = '!'
				any = true
			}
		}
	}
	if !any {
		return ""
	}
	return string(row)
}
