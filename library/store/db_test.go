package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"dubgauge/library/madeup"
)

// rawDB runs statements on a database file without what Open does.
func rawDB(t testing.TB, path string, statements ...string) {
	t.Helper()
	s, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, q := range statements {
		if _, err := s.Exec(q); err != nil {
			t.Fatalf("%s: %v", q, err)
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	dir := t.TempDir()
	madeup.WriteFile(t, dir+"/music.wav", madeup.WAV(1, 1000))
	madeup.WriteFile(t, dir+"/short.db", []byte("SQLite"))
	if err := os.Mkdir(dir+"/folder", 0o755); err != nil {
		t.Fatal(err)
	}
	rawDB(t, dir+"/other.db", `CREATE TABLE songs (name TEXT)`)
	rawDB(t, dir+"/newer.db", fmt.Sprintf(`PRAGMA application_id = %d`, applicationID), fmt.Sprintf(`PRAGMA user_version = %d`, len(migrations)+1))
	madeup.WriteFile(t, dir+"/garbled.db", append([]byte(sqliteHeader), strings.Repeat("no pages follow ", 500)...))
	for _, c := range []struct {
		file    string
		want    error
		trouble Trouble
	}{
		{"music.wav", ErrNotDatabase, Foreign},
		{"short.db", ErrNotDatabase, Foreign},
		{"folder", ErrNotDatabase, IsFolder},
		{"other.db", ErrNotDatabase, OtherProgram},
		{"garbled.db", ErrNotDatabase, Foreign},
		{"newer.db", ErrNewer, TooNew},
	} {
		t.Run(c.file, func(t *testing.T) {
			path := filepath.Join(dir, c.file)
			before := madeup.Snapshot(t, path)
			db, err := Open(context.Background(), path)
			if err == nil {
				db.Close()
				t.Fatal("opened")
			}
			if !errors.Is(err, c.want) {
				t.Errorf("error %v, want %v", err, c.want)
			}
			var e *Error
			if !errors.As(err, &e) || e.Path != path || e.Trouble != c.trouble {
				t.Errorf("error %+v, want %q of %s", e, c.trouble, path)
			}
			if !strings.Contains(err.Error(), path) {
				t.Errorf("the message does not name the file: %v", err)
			}
			if diff := cmp.Diff(before, madeup.Snapshot(t, path)); diff != "" {
				t.Errorf("the file was touched:\n%s", diff)
			}
		})
	}
}

// TestMigrations opens a database as each older version left it, with a track in
// it from the version on that has tracks.
func TestMigrations(t *testing.T) {
	for v := range len(migrations) {
		t.Run(fmt.Sprint(v), func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "old.db")
			if v > 0 {
				rawDB(t, path, append(append([]string{}, migrations[:v]...),
					fmt.Sprintf(`PRAGMA application_id = %d`, applicationID), fmt.Sprintf(`PRAGMA user_version = %d`, v),
					`INSERT INTO roots (id, path) VALUES (1, '/music')`,
					`INSERT INTO tracks (id, root, path, size, mtime, version, measured_at, mark_reference, title, artist, album, label,
						catalogue, isrc, year, genre, tag_key, format, codec, rate, channels, clipped, key_name, loudest)
						VALUES (7, 1, 'a.wav', 10, 20, 1, 30, 1, 'Night Bus', '', '', '', '', '', 0, '', '', 'wav', 'pcm_s16', 44100, 2, 0, '', -7.5)`,
					`INSERT INTO records (track, record) VALUES (7, '{"path":"a.wav","tags":{"title":"Night Bus"},"loudness":{"loudest_30s_lufs":-7.5}}')`)...)
			}
			db, err := Open(context.Background(), path)
			if err != nil {
				t.Fatal(err)
			}
			defer db.Close()
			if got, err := db.version(context.Background(), db.sql); got != len(migrations) || err != nil {
				t.Errorf("version %d, error %v; want %d", got, err, len(migrations))
			}
			if v == 0 {
				return
			}
			for _, full := range []bool{false, true} {
				tracks := tracksOf(t, db, TrackOptions{Full: full})
				if len(tracks) != 1 || tracks[0].ID != 7 || tracks[0].Tags.Title != "Night Bus" || tracks[0].Loudness.Loudest30sLUFS != -7.5 || !tracks[0].Marks.Reference {
					t.Errorf("full %v: tracks %+v", full, tracks)
				}
			}
		})
	}
}

// TestOpenAtOnce: several may make the same database.
func TestOpenAtOnce(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new.db")
	var wg sync.WaitGroup
	for range 8 {
		wg.Go(func() {
			db, err := Open(context.Background(), path)
			if err != nil {
				t.Error(err)
				return
			}
			if _, err := db.Tracks(context.Background(), TrackOptions{}); err != nil {
				t.Error(err)
			}
			db.Close()
		})
	}
	wg.Wait()
}

func TestOddDatabaseNames(t *testing.T) {
	for _, name := range []string{"a b?c#d%20e&f=g.db", "new\nline \U0001F50A.db"} {
		path := filepath.Join(t.TempDir(), "sub", name)
		db, err := Open(context.Background(), path)
		if err != nil {
			t.Fatal(err)
		}
		db.Close()
		if fi, err := os.Stat(path); err != nil || fi.Size() == 0 {
			t.Errorf("%q: no database of that name: %v", name, err)
		}
	}
}
