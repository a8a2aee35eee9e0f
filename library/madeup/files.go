// Package madeup makes what the tests of the library need: files, folders and
// records that no real track stands behind.
package madeup

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// WriteFile writes a file with its folders.
func WriteFile(t testing.TB, path string, data []byte) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

// WAV is a WAV file (RIFF, PCM 16 bit, 8 kHz, mono) of n samples that seed
// tells from others.
func WAV(seed uint32, n int) []byte {
	var b bytes.Buffer
	le := binary.LittleEndian
	b.WriteString("RIFF")
	b.Write(le.AppendUint32(nil, uint32(36+2*n)))
	b.WriteString("WAVEfmt ")
	b.Write(le.AppendUint32(nil, 16))
	b.Write(le.AppendUint16(nil, 1))
	b.Write(le.AppendUint16(nil, 1))
	b.Write(le.AppendUint32(nil, 8000))
	b.Write(le.AppendUint32(nil, 16000))
	b.Write(le.AppendUint16(nil, 2))
	b.Write(le.AppendUint16(nil, 16))
	b.WriteString("data")
	b.Write(le.AppendUint32(nil, uint32(2*n)))
	x := seed*2654435761 + 1
	out := slices.Grow(b.Bytes(), 2*n)
	for range n {
		x = x*1664525 + 1013904223
		out = le.AppendUint16(out, uint16(int16(x>>16)/4))
	}
	return out
}

// Snapshot is the bytes and time stamps of all that is below dir.
func Snapshot(t testing.TB, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		fi, err := d.Info()
		if err != nil {
			return err
		}
		sum := ""
		if d.Type().IsRegular() {
			data, err := os.ReadFile(p)
			if err != nil {
				return err
			}
			sum = fmt.Sprintf("%x", sha256.Sum256(data))
		}
		all[p] = fmt.Sprintf("%v %d %v %s", fi.Mode(), fi.Size(), fi.ModTime().UnixNano(), sum)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}
