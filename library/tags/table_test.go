package tags

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// readBytes reads the tags of a file in memory.
func readBytes(b []byte) (Tags, error) {
	return Read(io.NewSectionReader(bytes.NewReader(b), 0, int64(len(b))), "mp3")
}

// row gives t in the columns of expected.csv.
func (t Tags) row() []string {
	bpm := ""
	if t.BPM != nil {
		bpm = strconv.FormatFloat(*t.BPM, 'f', -1, 64)
	}
	return []string{t.Title, t.Artist, t.Album, t.Label, t.CatalogueNumber, t.ISRC, fmt.Sprint(t.Year),
		t.Genre, t.Comment, bpm, t.Key}
}

// The files were written by independent tools, as testdata/make.sh says; what each
// was told to write, where its form can hold it, is in expected.csv.
func TestFilesOfIndependentTools(t *testing.T) {
	f, err := os.Open("testdata/expected.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("testdata/files/*")
	if err != nil || len(files) != len(rows)-1 {
		t.Errorf("%d files, %d rows, %v", len(files), len(rows)-1, err)
	}
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			b, err := os.ReadFile(filepath.Join("testdata/files", row[0]))
			if err != nil {
				t.Fatal(err)
			}
			got, err := readBytes(b)
			if err != nil {
				t.Error(err)
			}
			for i, v := range got.row() {
				if v != row[i+1] {
					t.Errorf("%s: %q, want %q", rows[0][i+1], v, row[i+1])
				}
			}
		})
	}
}
