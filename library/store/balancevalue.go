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
// and nothing where a number does not exist; behind a semicolon the third octaves, which
// rows of before they were measured lack. NULL is a track without any.
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
	*c.pattern, c.b.ThirdsDB = []detect.Value{}, nil
	text, _ := src.(string)
	if text == "" {
		return nil
	}
	text, thirds, has := strings.Cut(text, ";")
	all, err := numbersOf(text)
	if err == nil && has {
		c.b.ThirdsDB, err = numbersOf(thirds)
	}
	if err != nil {
		return fmt.Errorf("the balance %q: %w", src, err)
	}
	for i, f := range figures {
		if i < len(all) {
			*f = all[i]
		}
	}
	if len(all) > len(figures) {
		*c.pattern = all[len(figures):]
	}
	return nil
}

// numbersOf reads numbers with commas between.
func numbersOf(text string) (detect.Values, error) {
	out := make(detect.Values, 0, 1+strings.Count(text, ","))
	for part := range strings.SplitSeq(text, ",") {
		v, err := numberOf(part)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}

func (c balance) Value() (driver.Value, error) {
	all := make(detect.Values, 0, len(c.figures())+len(*c.pattern))
	for _, f := range c.figures() {
		all = append(all, *f)
	}
	text, some := textOfNumbers(append(all, *c.pattern...))
	if thirds, more := textOfNumbers(c.b.ThirdsDB); more {
		text, some = text+";"+thirds, true
	}
	if !some {
		return nil, nil
	}
	return text, nil
}

// textOfNumbers is what numbersOf reads; some tells that any of them exists.
func textOfNumbers(v detect.Values) (text string, some bool) {
	parts := make([]string, len(v))
	for i, x := range v {
		if x.Exists() {
			parts[i], some = strconv.FormatFloat(float64(x), 'f', 3, 64), true
		}
	}
	return strings.Join(parts, ","), some
}
