package store

import (
	"database/sql/driver"
	"fmt"
	"strconv"
	"strings"

	"dubgauge/detect"
)

// balance holds what the balance of a track is judged by as text: the seven figures of
// detect.Balance, then the pattern of the low end if there is one, with commas between
// and nothing where a number does not exist. NULL is a track without either.
type balance struct {
	b       *detect.Balance
	pattern *detect.Values
}

func (c balance) figures() []*detect.Value {
	return []*detect.Value{&c.b.LowDB, &c.b.LowMidDB, &c.b.MidDB, &c.b.PresenceDB, &c.b.TrebleDB, &c.b.AirDB, &c.b.SubShareDB}
}

func (c balance) Scan(src any) error {
	figures := c.figures()
	for _, f := range figures {
		*f = detect.None
	}
	*c.pattern = []detect.Value{}
	text, _ := src.(string)
	if text == "" {
		return nil
	}
	i := 0
	for part := range strings.SplitSeq(text, ",") {
		v := detect.None
		if part != "" {
			x, err := strconv.ParseFloat(part, 64)
			if err != nil {
				return fmt.Errorf("the balance %q: %w", text, err)
			}
			v = detect.Value(x)
		}
		if i < len(figures) {
			*figures[i] = v
		} else {
			*c.pattern = append(*c.pattern, v)
		}
		i++
	}
	return nil
}

func (c balance) Value() (driver.Value, error) {
	var parts []string
	some := len(*c.pattern) > 0
	put := func(v detect.Value) {
		if !v.Exists() {
			parts = append(parts, "")
			return
		}
		some = true
		parts = append(parts, strconv.FormatFloat(float64(v), 'f', 3, 64))
	}
	for _, f := range c.figures() {
		put(*f)
	}
	for _, v := range *c.pattern {
		put(v)
	}
	if !some {
		return nil, nil
	}
	return strings.Join(parts, ","), nil
}
