package track

import (
	"bytes"
	"testing"
)

// TestContentOf: what of a file its fingerprint sees. The places follow from the
// formula at ContentOf.
func TestContentOf(t *testing.T) {
	of := func(data []byte) string {
		t.Helper()
		sum, err := ContentOf(bytes.NewReader(data), int64(len(data)))
		if err != nil || len(sum) != contentBytes {
			t.Fatalf("%d bytes, error %v", len(sum), err)
		}
		return string(sum)
	}
	const small, large = 384 << 10, 1 << 20
	gap := large - 2*contentHead - contentBlock
	for _, c := range []struct {
		name     string
		size, at int
		seen     bool
	}{
		{"the first byte", large, 0, true},
		{"the end of the head", large, contentHead - 1, true},
		{"the first block", large, contentHead, true},
		{"the end of the first block", large, contentHead + contentBlock - 1, true},
		{"behind the first block", large, contentHead + contentBlock, false},
		{"a block in the middle", large, contentHead + gap*31/63, true},
		{"the end of the last block", large, large - contentHead - 1, true},
		{"the start of the tail", large, large - contentHead, true},
		{"the last byte", large, large - 1, true},
		{"behind the first block of a file that is read whole", small, contentHead + contentBlock, true},
	} {
		data := make([]byte, c.size)
		before := of(data)
		data[c.at] = 1
		if seen := of(data) != before; seen != c.seen {
			t.Errorf("%s: seen %v, want %v", c.name, seen, c.seen)
		}
	}
	if of(make([]byte, small)) == of(make([]byte, small-1)) || of(make([]byte, large)) == of(make([]byte, large-1)) {
		t.Error("the size is not seen")
	}
}
