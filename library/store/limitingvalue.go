package store

import (
	"database/sql/driver"
	"fmt"
	"strconv"
	"strings"

	"dubgauge/detect"
)

// limiting is a *detect.Limiting as text: the share of flat tops, then the lists, each
// behind a semicolon, with commas between their numbers and nothing where a number does
// not exist. NULL is a track without.
type limiting struct{ v **detect.Limiting }

// lists of l in their order.
func lists(l *detect.Limiting) []*detect.Values {
	return []*detect.Values{&l.OverDB, &l.LossLU, &l.P95DB, &l.Over2, &l.AtS}
}

func (c limiting) Scan(src any) error {
	*c.v = nil
	text, _ := src.(string)
	if text == "" {
		return nil
	}
	l := &detect.Limiting{}
	parts := strings.Split(text, ";")
	if len(parts) != 1+len(lists(l)) {
		return fmt.Errorf("the limiting %q has %d parts", text, len(parts))
	}
	var err error
	if l.FlatShare, err = numberOf(parts[0]); err != nil {
		return fmt.Errorf("the limiting %q: %w", text, err)
	}
	for i, list := range lists(l) {
		part := parts[1+i]
		*list = make(detect.Values, 0, 1+strings.Count(part, ","))
		for s := range strings.SplitSeq(part, ",") {
			v, err := numberOf(s)
			if err != nil {
				return fmt.Errorf("the limiting %q: %w", text, err)
			}
			*list = append(*list, v)
		}
	}
	if !wholeTable(l) {
		return fmt.Errorf("the limiting %q has lists of different lengths", text)
	}
	*c.v = l
	return nil
}

// numberOf reads a number; an empty text is none.
func numberOf(s string) (detect.Value, error) {
	if s == "" {
		return detect.None, nil
	}
	x, err := strconv.ParseFloat(s, 64)
	return detect.Value(x), err
}

func (c limiting) Value() (driver.Value, error) {
	l := *c.v
	if l == nil {
		return nil, nil
	}
	b := appendNumber(nil, l.FlatShare)
	for _, list := range lists(l) {
		b = append(b, ';')
		for i, v := range *list {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendNumber(b, v)
		}
	}
	return string(b), nil
}

func appendNumber(b []byte, v detect.Value) []byte {
	if !v.Exists() {
		return b
	}
	return strconv.AppendFloat(b, float64(v), 'f', -1, 64)
}

// wholeTable tells lists that go together: of one length, not empty, all numbers, the
// gains above 0 and rising.
func wholeTable(l *detect.Limiting) bool {
	last := detect.Value(0)
	for _, over := range l.OverDB {
		if !(over > last) {
			return false
		}
		last = over
	}
	for _, list := range lists(l) {
		if len(*list) != len(l.OverDB) {
			return false
		}
		for _, v := range *list {
			if !v.Exists() || v > maxNumber || v < -maxNumber {
				return false
			}
		}
	}
	return len(l.OverDB) > 0
}
