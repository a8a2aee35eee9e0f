package detect

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// Value is a measured number that may not exist, such as the loudness of
// silence: then it is NaN here and null in JSON, never 0 and never infinite.
type Value float64

// None is the Value that does not exist.
var None = Value(math.NaN())

// Exists tells whether v is a number.
func (v Value) Exists() bool {
	return !math.IsNaN(float64(v)) && !math.IsInf(float64(v), 0)
}

// MarshalJSON writes v with at most four decimals, null when it does not
// exist.
func (v Value) MarshalJSON() ([]byte, error) { return v.append(nil), nil }

func (v Value) append(b []byte) []byte {
	if !v.Exists() {
		return append(b, "null"...)
	}
	r := math.Round(float64(v)*1e4) / 1e4
	if r == 0 {
		r = 0 // no negative zero
	}
	return strconv.AppendFloat(b, r, 'f', -1, 64)
}

// UnmarshalJSON reads a number or null.
func (v *Value) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*v = None
		return nil
	}
	f, err := strconv.ParseFloat(string(b), 64)
	*v = Value(f)
	return err
}

// Values are numbers of which some may not exist. They are read and written as encoding/json
// does with a list of them, at once: a record has 300.
type Values []Value

// MarshalJSON writes a list, null for none.
func (v Values) MarshalJSON() ([]byte, error) {
	if v == nil {
		return []byte("null"), nil
	}
	b := make([]byte, 1, 2+9*len(v))
	b[0] = '['
	for i, x := range v {
		if i > 0 {
			b = append(b, ',')
		}
		b = x.append(b)
	}
	return append(b, ']'), nil
}

// UnmarshalJSON reads a list of numbers and nulls, or null.
func (v *Values) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*v = nil
		return nil
	}
	if len(b) < 2 || b[0] != '[' || b[len(b)-1] != ']' {
		return fmt.Errorf("%.20s is no list of numbers", b)
	}
	inner := b[1 : len(b)-1]
	*v = make(Values, 0, 1+bytes.Count(inner, []byte(",")))
	if len(bytes.TrimSpace(inner)) == 0 {
		return nil
	}
	for more := true; more; {
		var part []byte
		part, inner, more = bytes.Cut(inner, []byte(","))
		var x Value
		if err := x.UnmarshalJSON(bytes.TrimSpace(part)); err != nil {
			return fmt.Errorf("%.20s in a list of numbers: %w", part, err)
		}
		*v = append(*v, x)
	}
	return nil
}
