package wav

import (
	"encoding/binary"
	"math"
)

// unknownSize stands in a 32-bit size field whose true value is in the ds64 chunk
// (EBU Tech 3306) or was never filled in.
const unknownSize = math.MaxUint32

// ds64 holds the 64-bit sizes of RF64 and BW64. Its zero value says nothing.
type ds64 struct {
	data  int64            // bytes of the data chunk, 0 when not said
	table map[string]int64 // bytes of other chunks
}

const (
	ds64Fixed = 28 // RIFF size, data size, sample count, table length
	ds64Entry = 12 // four letters and a size
	ds64Most  = 64 // entries that are read; writers give none or one
)

// parseDS64 reads a ds64 chunk; what of it is missing says nothing.
func (f *file) parseDS64(c chunk) (ds64, error) {
	var d ds64
	b, err := f.read(c.body, int(min(c.avail, ds64Fixed+ds64Most*ds64Entry)))
	if err != nil || len(b) < ds64Fixed-4 {
		return d, err
	}
	d.data = size64(f.order, b[8:])
	d.table = map[string]int64{}
	for b = b[min(len(b), ds64Fixed):]; len(b) >= ds64Entry; b = b[ds64Entry:] {
		d.table[string(b[:4])] = size64(f.order, b[4:])
	}
	return d, nil
}

// size64 reads a size; what no file can have is as large as one can be.
func size64(order binary.ByteOrder, b []byte) int64 {
	const most = 1 << 60 // leaves room to add offsets
	return int64(min(order.Uint64(b), most))
}

// dataSize is the size in bytes that the file declares for the data chunk c.
func (d ds64) dataSize(c chunk) int64 {
	if c.size == unknownSize && d.data > 0 {
		return d.data
	}
	return int64(c.size)
}

// sizeOf is the same for any other chunk.
func (d ds64) sizeOf(c chunk) int64 {
	if long, ok := d.table[c.id]; ok && c.size == unknownSize {
		return long
	}
	return int64(c.size)
}

// streamed says whether size is what writers put down who could not go back to
// fill it in: the highest value there is, signed or not, less the header or
// rounded to a page.
func streamed(size uint32) bool {
	const margin = 4096 // bytes
	return size >= math.MaxUint32-margin || size >= math.MaxInt32-margin && size <= math.MaxInt32+1
}
