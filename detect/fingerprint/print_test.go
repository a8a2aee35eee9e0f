package fingerprint

import (
	"bytes"
	"slices"
	"testing"
)

// TestBytes: a print comes back from its bytes and its text; 6 minutes have under 8 KB
// as text, too.
func TestBytes(t *testing.T) {
	p := made(1, 1938) // 6 minutes
	b := p.Bytes()
	got, err := FromBytes(b)
	if err != nil || !slices.Equal(got, p) {
		t.Fatalf("%d of %d sub-prints, error %v", len(got), len(p), err)
	}
	if text, err := BytesOf(p.Text()); err != nil || !bytes.Equal(text, b) {
		t.Errorf("text: error %v", err)
	}
	if len(b) != 1+3*1938 || len(p.Text()) > 8000 {
		t.Errorf("%d bytes, %d as text", len(b), len(p.Text()))
	}
	if Print(nil).Text() != "" || Print(nil).Bytes() != nil {
		t.Error("no print has a text")
	}
}

// TestNoPrint: what is no print is an error.
func TestNoPrint(t *testing.T) {
	good := made(1, leastPrint).Bytes()
	other := slices.Clone(good)
	other[0] = 2
	for name, b := range map[string][]byte{
		"nothing": nil, "another version": other, "half a sub-print": good[:len(good)-1], "too short": good[:len(good)-3],
		"too long": make(Print, 6463).Bytes(), // 20 minutes are 6460 steps
	} {
		if p, err := FromBytes(b); err == nil {
			t.Errorf("%s: %d sub-prints", name, len(p))
		}
	}
	for _, s := range []string{"", "a", "****", good2text(good[:100]) + "="} {
		if _, err := BytesOf(s); err == nil {
			t.Errorf("%q is a print", s)
		}
	}
	if _, err := FromBytes(make(Print, 6460).Bytes()); err != nil {
		t.Errorf("20 minutes: %v", err)
	}
}

func good2text(b []byte) string { p, _ := FromBytes(b); return p.Text() }

// FuzzPrint: any bytes are refused, or come back as they are.
func FuzzPrint(f *testing.F) {
	f.Add(made(1, leastPrint).Bytes())
	f.Add([]byte{version})
	f.Fuzz(func(t *testing.T, b []byte) {
		if p, err := FromBytes(b); err == nil && !bytes.Equal(p.Bytes(), b) {
			t.Error("bytes change")
		}
	})
}
