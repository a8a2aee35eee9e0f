package store

import (
	"database/sql/driver"
	"encoding/json"
	"fmt"
	"math"

	"dubgauge/detect"
)

// number is a Value, NULL when it does not exist.
type number struct{ v *detect.Value }

func (n number) Scan(src any) error {
	switch x := src.(type) {
	case nil:
		*n.v = detect.None
	case float64:
		*n.v = detect.Value(x)
	case int64:
		*n.v = detect.Value(x)
	default:
		return fmt.Errorf("a number expected, %T found", src)
	}
	return nil
}

// set is Scan of a number that exists.
func (n number) set(v float64) error {
	*n.v = detect.Value(v)
	return nil
}

func (n number) Value() (driver.Value, error) {
	if !n.v.Exists() {
		return nil, nil
	}
	// As in the record, so that both give the same number.
	return math.Round(float64(*n.v)*1e4) / 1e4, nil
}

// whole is an int that is never NULL.
type whole struct{ v *int }

func (w whole) Scan(src any) error {
	x, ok := src.(int64)
	if !ok {
		return fmt.Errorf("a whole number expected, %T found", src)
	}
	*w.v = int(x)
	return nil
}

func (w whole) Value() (driver.Value, error) { return int64(*w.v), nil }

// maybeInt is NULL for nil.
type maybeInt struct{ v **int }

func (m maybeInt) Scan(src any) error {
	*m.v = nil
	if x, ok := src.(int64); ok {
		n := int(x)
		*m.v = &n
	}
	return nil
}

func (m maybeInt) Value() (driver.Value, error) {
	if *m.v == nil {
		return nil, nil
	}
	return int64(**m.v), nil
}

// maybeFloat is NULL for nil.
type maybeFloat struct{ v **float64 }

func (m maybeFloat) Scan(src any) error {
	*m.v = nil
	if x, ok := src.(float64); ok {
		*m.v = &x
	}
	return nil
}

func (m maybeFloat) Value() (driver.Value, error) {
	if *m.v == nil {
		return nil, nil
	}
	return **m.v, nil
}

// list is a slice as JSON, NULL when it is empty.
type list[T any] struct{ v *[]T }

func listOf[T any](v *[]T) list[T] { return list[T]{v} }

func (l list[T]) Scan(src any) error {
	*l.v = nil
	switch x := src.(type) {
	case string:
		return json.Unmarshal([]byte(x), l.v)
	case []byte:
		return json.Unmarshal(x, l.v)
	}
	return nil
}

func (l list[T]) Value() (driver.Value, error) {
	if len(*l.v) == 0 {
		return nil, nil
	}
	b, err := json.Marshal(*l.v)
	return string(b), err
}
