package store

import (
	"bytes"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	_ "modernc.org/sqlite" // the database driver, registered as "sqlite"
)

// checkFile refuses what is no database before SQLite sees it, and tells
// whether the file has yet to be made.
func checkFile(path string) (fresh bool, err error) {
	fi, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err != nil {
		return false, &Error{Path: path, Trouble: CannotOpen, Err: err}
	}
	if fi.IsDir() {
		return false, &Error{Path: path, Trouble: IsFolder, Err: ErrNotDatabase}
	}
	if !fi.Mode().IsRegular() {
		return false, &Error{Path: path, Trouble: NotRegular, Err: ErrNotDatabase}
	}
	if fi.Size() == 0 {
		return true, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return false, &Error{Path: path, Trouble: CannotOpen, Err: err}
	}
	defer f.Close()
	head := make([]byte, len(sqliteHeader))
	if _, err := io.ReadFull(f, head); err != nil || !bytes.Equal(head, []byte(sqliteHeader)) {
		return false, &Error{Path: path, Trouble: Foreign, Err: ErrNotDatabase}
	}
	return false, nil
}

// connect opens without touching the file yet. mode is SQLite's URI parameter.
func connect(path, mode string, pragmas ...string) (*DB, error) {
	p := filepath.ToSlash(path)
	if !strings.HasPrefix(p, "/") {
		p = "/" + p // a drive letter: file:///C:/...
	}
	dsn := (&url.URL{Scheme: "file", Path: p}).String() + "?mode=" + mode + "&_txlock=immediate" +
		fmt.Sprintf("&_pragma=busy_timeout(%d)", BusyTimeout.Milliseconds())
	for _, x := range append(pragmas, "foreign_keys(1)", "cache_size(-4000)") {
		dsn += "&_pragma=" + x
	}
	s, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, &Error{Path: path, Trouble: CannotOpen, Err: err}
	}
	s.SetMaxIdleConns(4)
	return &DB{sql: s, path: path}, nil
}

// useLog turns on write-ahead logging, which stays on in the file. SQLite does
// not wait for others here, so that we do.
func (db *DB) useLog(ctx context.Context) error {
	const pause = 20 * time.Millisecond
	for start := time.Now(); ; {
		_, err := db.sql.ExecContext(ctx, `PRAGMA journal_mode=WAL`)
		if code(err) != codeBusy || time.Since(start) > BusyTimeout {
			return err
		}
		time.Sleep(pause)
	}
}
