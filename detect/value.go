package detect

import (
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
func (v Value) MarshalJSON() ([]byte, error) {
	if !v.Exists() {
		return []byte("null"), nil
	}
	r := math.Round(float64(v)*1e4) / 1e4
	if r == 0 {
		r = 0 // no negative zero
	}
	return strconv.AppendFloat(nil, r, 'f', -1, 64), nil
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
