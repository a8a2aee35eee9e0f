package page

import (
	"fmt"
	"strconv"
	"strings"
)

// Delta is what changed in the page of a library since a state of it.
type Delta struct {
	// State is what to ask from next time.
	State string `json:"state"`
	// Rows are those that are new or others, their HTML by the number of the track.
	Rows map[int64]string `json:"rows,omitempty"`
	// Gone are the tracks that left.
	Gone []int64 `json:"gone,omitempty"`
	// Order lists all tracks, the worst first, where the order changed.
	Order []int64 `json:"order,omitempty"`
	// Parts are the other pieces of the page that changed: what is in the element of that id.
	Parts map[string]string `json:"parts,omitempty"`
	// More rows changed than are here: ask again.
	More int `json:"more,omitempty"`
}

// So many rows are sent at once, those first that stand first: what a screen shows is there
// before the rest is written.
const (
	firstRowsSent = 100
	mostRows      = 800
)

// since is a state that a page has: all of whole, and of what changed from there to state
// the first rows.
type since struct {
	state, whole int64
	rows         int
}

// parse reads a state of this shelf; of any other nothing is known, so that all has changed.
func (s *Shelf) parse(text string) (from since) {
	fields := strings.Split(text, ".")
	if len(fields) != 4 || fields[0] != s.run {
		return since{}
	}
	var err [3]error
	from.state, err[0] = strconv.ParseInt(fields[1], 10, 64)
	from.whole, err[1] = strconv.ParseInt(fields[2], 10, 64)
	from.rows, err[2] = strconv.Atoi(fields[3])
	if err != [3]error{} || from.rows < 0 || from.whole < 0 || from.state < from.whole || from.state > s.state {
		return since{}
	}
	return from
}

func (s *Shelf) format(f since) string {
	return fmt.Sprintf("%s.%d.%d.%d", s.run, f.state, f.whole, f.rows)
}

// Since tells what changed since a state.
func (s *Shelf) Since(text string) (d Delta, err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	from := s.parse(text)
	if d.Rows, d.More, err = s.changedRows(from); err != nil {
		return d, err
	}
	next := since{state: s.state, whole: s.state}
	if d.More > 0 {
		next.whole, next.rows = from.whole, from.passed(s.state)+len(d.Rows)
	}
	d.State = s.format(next)
	if s.moved > from.state || from.rows > 0 && from.whole == 0 { // a page that has some of the rows
		d.Order = s.order
	}
	for _, l := range s.gone {
		if l.at > from.state {
			d.Gone = append(d.Gone, l.id)
		}
	}
	d.Parts = map[string]string{}
	for name, p := range s.parts {
		if p.at > from.state {
			d.Parts[name] = p.html
		}
	}
	return d, nil
}

// passed is how many of the rows that changed up to state are there already.
func (f since) passed(state int64) int {
	if f.state != state {
		return 0
	}
	return f.rows
}

// changedRows are the next rows to send, and how many are left behind them.
func (s *Shelf) changedRows(from since) (rows map[int64]string, more int, err error) {
	rows = map[int64]string{}
	skip, most := from.passed(s.state), firstRowsSent
	if skip > 0 {
		most = mostRows
	}
	for _, id := range s.order {
		l := s.rows[id]
		if l.at <= from.whole {
			continue
		}
		if skip > 0 {
			skip--
			continue
		}
		if len(rows) == most {
			more++
			continue
		}
		html, err := l.written()
		if err != nil {
			return nil, 0, err
		}
		rows[id] = string(html)
	}
	return rows, more, nil
}
