package store

import (
	"database/sql"
	"encoding/binary"
	"fmt"
	"math"

	"github.com/cespare/xxhash/v2"
)

// digest is a checksum over columns as the database gives them: a byte that flips in
// the file, where SQLite cannot see it, shows. It is XXH64, 8 bytes, big-endian.
type digest struct {
	hash *xxhash.Digest
	buf  [9]byte
}

func newDigest() *digest { return &digest{hash: xxhash.New()} }

func (d *digest) reset() { d.hash.Reset() }

func (d *digest) sum() []byte { return binary.BigEndian.AppendUint64(nil, d.hash.Sum64()) }

// add takes one value with its type and its length, so that no two rows are alike that
// differ in where one value ends.
func (d *digest) add(v any) {
	switch x := v.(type) {
	case nil:
		d.head('n', 0)
	case int64:
		d.head('i', uint64(x))
	case int:
		d.head('i', uint64(x))
	case float64:
		d.head('f', math.Float64bits(x+0)) // SQLite has no -0
	case string:
		d.head('s', uint64(len(x)))
		_, _ = d.hash.WriteString(x)
	case []byte:
		if x == nil {
			d.head('n', 0)
			return
		}
		d.head('s', uint64(len(x)))
		_, _ = d.hash.Write(x)
	default:
		panic(fmt.Sprintf("store: a column of type %T", v))
	}
}

func (d *digest) head(kind byte, n uint64) {
	d.buf[0] = kind
	binary.BigEndian.PutUint64(d.buf[1:], n)
	_, _ = d.hash.Write(d.buf[:])
}

// sumOf is the checksum of a row of values.
func sumOf(values []any) []byte {
	d := newDigest()
	for _, v := range values {
		d.add(v)
	}
	return d.sum()
}

// recordSum is the checksum of a record's text.
func recordSum(text []byte) []byte {
	return binary.BigEndian.AppendUint64(nil, xxhash.Sum64(text))
}

// summed reads a column into to and its value into a digest.
type summed struct {
	to any // *string, *int, *int64, *[]byte or a sql.Scanner
	d  *digest
}

func (s summed) Scan(src any) error {
	s.d.add(src)
	if sc, ok := s.to.(sql.Scanner); ok {
		return sc.Scan(src)
	}
	ok := false
	switch to := s.to.(type) {
	case *string:
		*to, ok = src.(string)
	case *int64:
		*to, ok = src.(int64)
	case *[]byte:
		var b []byte
		b, ok = src.([]byte)
		*to, ok = append([]byte(nil), b...), ok || src == nil
	}
	if !ok {
		return fmt.Errorf("%T found for a %T", src, s.to)
	}
	return nil
}
