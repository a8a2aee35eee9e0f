package store

import (
	"context"
	"path/filepath"
	"testing"

	"dubgauge/detect"
	"dubgauge/library/status"
	"dubgauge/library/track"
)

// openTemp opens a new database that the test closes.
func openTemp(t testing.TB) *DB {
	t.Helper()
	db, err := Open(context.Background(), filepath.Join(t.TempDir(), "library.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := db.Close(); err != nil {
			t.Error(err)
		}
	})
	return db
}

// filled is a database with the tracks of a library at dir, an absolute path. No
// file is needed for that.
func filled(t testing.TB, dir string) *DB {
	t.Helper()
	db := openTemp(t)
	err := db.Write(context.Background(), func(tx *Tx) error {
		p, err := tx.Place(dir)
		for _, path := range []string{"a.wav", "House/b.wav", "House/c v7.wav", "Dubs/d.flac", "no ending"} {
			if err == nil {
				err = tx.Put(&File{Place: &p, Rel: path, Path: path}, &track.Record{Path: path, Measurement: detect.Empty()})
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return db
}

func tracksOf(t testing.TB, db *DB, o TrackOptions) []track.Track {
	t.Helper()
	tracks, err := db.Tracks(context.Background(), o)
	if err != nil {
		t.Fatal(err)
	}
	return tracks
}

func pathsOf(tracks []track.Track) []string {
	paths := []string{}
	for _, t := range tracks {
		paths = append(paths, t.Path)
	}
	return paths
}

// byPath finds a track.
func byPath(t testing.TB, db *DB, path string) track.Track {
	t.Helper()
	for _, tr := range tracksOf(t, db, TrackOptions{IncludeIgnored: true, IncludeMissing: true}) {
		if tr.Path == path {
			return tr
		}
	}
	t.Fatalf("no track %q", path)
	return track.Track{}
}

func patternsOf(dir, released string) status.FolderPatterns {
	return status.FolderPatterns{Dir: dir, Released: []string{released}}
}
