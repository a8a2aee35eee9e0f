package store

import (
	"database/sql/driver"
	"encoding/binary"
	"fmt"
	"math"
	"strings"

	"dubgauge/detect"
	"dubgauge/detect/standout"
)

// text is a string of a type of its own.
type text[T ~string] struct{ v *T }

func textOf[T ~string](v *T) text[T] { return text[T]{v} }

func (t text[T]) Scan(src any) error {
	s, ok := src.(string)
	if !ok {
		return fmt.Errorf("a text expected, %T found", src)
	}
	*t.v = T(s)
	return nil
}

func (t text[T]) Value() (driver.Value, error) { return string(*t.v), nil }

// exact is a Value as it is, without the rounding of number; NULL when it does not
// exist.
type exact struct{ v *detect.Value }

func (e exact) Scan(src any) error { return number(e).Scan(src) }

func (e exact) Value() (driver.Value, error) {
	if !e.v.Exists() {
		return nil, nil
	}
	return float64(*e.v), nil
}

// codes is a list of reason codes, one on each line.
type codes struct{ v *[]string }

func (c codes) Scan(src any) error {
	*c.v = []string{}
	if s, _ := src.(string); s != "" {
		*c.v = strings.Split(s, "\n")
	}
	return nil
}

func (c codes) Value() (driver.Value, error) { return strings.Join(*c.v, "\n"), nil }

// deviations are the length of the quantity's name (one byte), the name, and the three
// numbers, 8 bytes each, of every deviation.
type deviations struct{ v *[]standout.Deviation }

const deviationNumbers = 3 * 8 // bytes

func (d deviations) Scan(src any) error {
	*d.v = []standout.Deviation{}
	s, _ := src.(string)
	for len(s) > 0 {
		n := int(s[0])
		if len(s) < 1+n+deviationNumbers {
			return errLine
		}
		next := standout.Deviation{Quantity: quantity(s[1 : 1+n])}
		for i, v := range []*detect.Value{&next.Value, &next.DB, &next.Spreads} {
			*v = detect.Value(math.Float64frombits(binary.LittleEndian.Uint64([]byte(s[1+n+8*i:]))))
		}
		*d.v = append(*d.v, next)
		s = s[1+n+deviationNumbers:]
	}
	return nil
}

// quantity is the constant of that name where there is one, so that the text it is read
// from is not kept.
func quantity(name string) standout.Quantity {
	for _, q := range []standout.Quantity{standout.Level, standout.LowEnd, standout.Sub, standout.Bass, standout.Mono, standout.Peak} {
		if string(q) == name {
			return q
		}
	}
	return standout.Quantity(strings.Clone(name))
}

func (d deviations) Value() (driver.Value, error) {
	var b []byte
	for _, x := range *d.v {
		b = append(append(b, byte(len(x.Quantity))), x.Quantity...)
		for _, v := range []detect.Value{x.Value, x.DB, x.Spreads} {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(float64(v)))
		}
	}
	return string(b), nil
}
