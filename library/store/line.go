package store

import (
	"database/sql"
	"database/sql/driver"
	"encoding/binary"
	"errors"
	"fmt"
	"math"
)

// A line is a row of values in one column: SQLite hands out one value a row faster than
// fifty. Each value is its type and then itself: 'n' nothing, 'i' a whole number
// (zigzag varint), 'f' a number (8 bytes, little-endian), 's' text or bytes (their length
// as a varint, and they).

var errLine = errors.New("the line is cut off")

// appendValue writes a value as the database takes it.
func appendValue(line []byte, v driver.Value) []byte {
	switch x := v.(type) {
	case nil:
		return append(line, 'n')
	case bool:
		n := int64(0)
		if x {
			n = 1
		}
		return binary.AppendVarint(append(line, 'i'), n)
	case int64:
		return binary.AppendVarint(append(line, 'i'), x)
	case float64:
		return binary.LittleEndian.AppendUint64(append(line, 'f'), math.Float64bits(x))
	case string:
		return append(binary.AppendUvarint(append(line, 's'), uint64(len(x))), x...)
	case []byte:
		return append(binary.AppendUvarint(append(line, 's'), uint64(len(x))), x...)
	}
	panic(fmt.Sprintf("store: a value of type %T", v))
}

// takeValue reads the value that line begins with into a field, and returns what is
// behind it. The fields are *string, *int64, *[]byte, *bool or a sql.Scanner; nil is for a
// value that is passed over. A text that the field has already is not copied.
func takeValue(line []byte, to any) ([]byte, error) {
	if len(line) == 0 {
		return nil, errLine
	}
	kind, line := line[0], line[1:]
	switch kind {
	case 'n':
		return line, put(to, nil)
	case 'i':
		v, n := binary.Varint(line)
		if n <= 0 {
			return nil, errLine
		}
		if p, ok := to.(*int64); ok {
			*p = v
			return line[n:], nil
		}
		return line[n:], put(to, v)
	case 'f':
		if len(line) < 8 {
			return nil, errLine
		}
		v := math.Float64frombits(binary.LittleEndian.Uint64(line))
		if p, ok := to.(number); ok {
			return line[8:], p.set(v)
		}
		return line[8:], put(to, v)
	case 's':
		return takeText(line, to)
	}
	return nil, fmt.Errorf("a value of kind %q", kind)
}

// takeText reads the rest of a text or of bytes.
func takeText(line []byte, to any) ([]byte, error) {
	size, n := binary.Uvarint(line)
	if n <= 0 || uint64(len(line)-n) < size {
		return nil, errLine
	}
	text, rest := line[n:n+int(size)], line[n+int(size):]
	switch p := to.(type) {
	case nil:
		return rest, nil
	case *[]byte:
		*p = append([]byte(nil), text...)
		return rest, nil
	case *string:
		if *p != string(text) {
			*p = string(text)
		}
		return rest, nil
	}
	return rest, put(to, string(text))
}

// put gives a field what the database would have given it.
func put(to, v any) error {
	if to == nil {
		return nil
	}
	if s, ok := to.(sql.Scanner); ok {
		return s.Scan(v)
	}
	ok := false
	switch p := to.(type) {
	case *string:
		*p, ok = v.(string)
	case *[]byte:
		*p, ok = nil, v == nil
	case *bool:
		var n int64
		n, ok = v.(int64)
		*p = n != 0
	}
	if !ok {
		return fmt.Errorf("%T for a %T", v, to)
	}
	return nil
}
