package library

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
	"sync"
	"time"

	"github.com/adrg/xdg"
	_ "modernc.org/sqlite" // the database driver, registered as "sqlite"
)

// Errors about the database. The error that is returned names the file and the
// next step; these tell a caller which kind it is.
var (
	// ErrNotDatabase: the file is no database, or another program's.
	ErrNotDatabase = errors.New("not a database of dubgauge")
	// ErrNewer: a newer dubgauge has written the database.
	ErrNewer = errors.New("written by a newer dubgauge")
	// ErrReadOnly: the database can be read only, and a write was wanted.
	ErrReadOnly = errors.New("the database is read-only")
)

const (
	// applicationID marks the database as ours: "dbgg" in ASCII.
	applicationID = 0x64626767
	// sqliteHeader starts every SQLite 3 file (sqlite.org/fileformat2, 1.3.1).
	sqliteHeader = "SQLite format 3\x00"
	// busyTimeout is how long a statement waits for another process's write.
	// Writes of a scan last milliseconds; a laptop on battery with a slow
	// disk may take seconds to checkpoint.
	busyTimeout = 20 * time.Second
)

// DB is a library's database. It is safe for use by many goroutines and by
// many processes at once.
type DB struct {
	sql      *sql.DB
	path     string
	readOnly bool
	// writing queues this process's writers, which SQLite would have poll.
	writing sync.Mutex
}

// DefaultPath is the database in the user's data folder:
// $XDG_DATA_HOME/dubgauge/library.db, or what the system has in its place. The
// folder is made when it is missing.
func DefaultPath() (string, error) {
	p, err := xdg.DataFile(filepath.Join("dubgauge", "library.db"))
	if err != nil {
		return "", fmt.Errorf("no place for the database: %w; give one with --db FILE", err)
	}
	return p, nil
}

// Open opens the database at path, makes it when it does not exist, and brings
// an older one up to date. A database that may not be written, or lies on a
// medium that may not, opens for reading: ReadOnly then tells so.
func Open(ctx context.Context, path string) (*DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	fresh, err := checkFile(abs)
	if err != nil {
		return nil, err
	}
	if fresh {
		if err := os.MkdirAll(filepath.Dir(abs), 0o755); err != nil {
			return nil, fmt.Errorf("%s: cannot make the folder for the database: %w; give another place with --db FILE", abs, withoutPath(err))
		}
	}
	db, err := openWritable(ctx, abs)
	if err != nil && !fresh && !errors.Is(err, ErrNotDatabase) && !errors.Is(err, ErrNewer) && ctx.Err() == nil {
		if ro, e := openReadOnly(ctx, abs); e == nil {
			return ro, nil
		} else if errors.Is(e, ErrReadOnly) || errors.Is(e, ErrNewer) || errors.Is(e, ErrNotDatabase) {
			return nil, e
		}
	}
	return db, err
}

// checkFile refuses what is no database before SQLite sees it, and tells
// whether the file has yet to be made.
func checkFile(path string) (fresh bool, err error) {
	fi, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return true, nil
	}
	if err != nil {
		return false, fmt.Errorf("%s: cannot open the database: %w; give another file with --db FILE", path, withoutPath(err))
	}
	if fi.IsDir() {
		return false, fmt.Errorf("%s: is a folder: %w; give a file with --db FILE", path, ErrNotDatabase)
	}
	if !fi.Mode().IsRegular() {
		return false, fmt.Errorf("%s: is not a regular file: %w; give another file with --db FILE", path, ErrNotDatabase)
	}
	if fi.Size() == 0 {
		return true, nil
	}
	f, err := os.Open(path)
	if err != nil {
		return false, fmt.Errorf("%s: cannot open the database: %w; give another file with --db FILE", path, withoutPath(err))
	}
	defer f.Close()
	head := make([]byte, len(sqliteHeader))
	if _, err := io.ReadFull(f, head); err != nil || !bytes.Equal(head, []byte(sqliteHeader)) {
		return false, fmt.Errorf("%s: %w; it was left as it is: give another file with --db FILE", path, ErrNotDatabase)
	}
	return false, nil
}

func openWritable(ctx context.Context, path string) (*DB, error) {
	// Ask the system first: SQLite would fall back to reading without a word.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot write the database: %w; give another file with --db FILE", path, withoutPath(err))
	}
	f.Close()
	db, err := connect(path, "rwc", "synchronous(NORMAL)")
	if err != nil {
		return nil, err
	}
	// The version comes first, so that another program's database is not touched.
	if _, err = db.version(ctx, db.sql); err == nil {
		err = db.useLog(ctx)
	}
	if err == nil {
		err = db.migrate(ctx)
	}
	if err != nil {
		db.sql.Close()
		return nil, db.explain(err)
	}
	return db, nil
}

// useLog turns on write-ahead logging, which stays on in the file. SQLite does
// not wait for others here, so that we do.
func (db *DB) useLog(ctx context.Context) error {
	const pause = 20 * time.Millisecond
	for start := time.Now(); ; {
		_, err := db.sql.ExecContext(ctx, `PRAGMA journal_mode=WAL`)
		var code interface{ Code() int }
		if err == nil || !errors.As(err, &code) || code.Code()&0xff != codeBusy || time.Since(start) > busyTimeout {
			return err
		}
		time.Sleep(pause)
	}
}

// openReadOnly opens for reading: beside a writer when the folder lets SQLite
// share the log, else as a file that nobody changes.
func openReadOnly(ctx context.Context, path string) (*DB, error) {
	var first error
	for _, mode := range []string{"ro", "ro&immutable=1"} {
		db, err := connect(path, mode)
		if err != nil {
			return nil, err
		}
		db.readOnly = true
		if err = db.checkVersion(ctx); err == nil {
			return db, nil
		}
		db.sql.Close()
		if err = db.explain(err); first == nil {
			first = err
		}
	}
	return nil, first
}

// connect opens without touching the file yet. mode is SQLite's URI parameter.
func connect(path, mode string, pragmas ...string) (*DB, error) {
	p := filepath.ToSlash(path)
	if !strings.HasPrefix(p, "/") {
		p = "/" + p // a drive letter: file:///C:/...
	}
	dsn := (&url.URL{Scheme: "file", Path: p}).String() + "?mode=" + mode + "&_txlock=immediate" +
		fmt.Sprintf("&_pragma=busy_timeout(%d)", busyTimeout.Milliseconds())
	for _, x := range append(pragmas, "foreign_keys(1)", "cache_size(-16000)") {
		dsn += "&_pragma=" + x
	}
	s, err := sql.Open("sqlite", dsn)
	if err != nil {
		return nil, fmt.Errorf("%s: cannot open the database: %w", path, err)
	}
	s.SetMaxIdleConns(4)
	return &DB{sql: s, path: path}, nil
}

// Close closes the database.
func (db *DB) Close() error { return db.sql.Close() }

// Path is where the database lies.
func (db *DB) Path() string { return db.path }

// ReadOnly tells that the database can be read but not written.
func (db *DB) ReadOnly() bool { return db.readOnly }

// write runs change in one transaction. All writes go through it.
func (db *DB) write(ctx context.Context, change func(tx *sql.Tx) error) error {
	if db.readOnly {
		return fmt.Errorf("%s: %w; make it writable, or give another file with --db FILE", db.path, ErrReadOnly)
	}
	db.writing.Lock()
	defer db.writing.Unlock()
	tx, err := db.sql.BeginTx(ctx, nil)
	if err != nil {
		return db.explain(err)
	}
	defer tx.Rollback()
	if err := change(tx); err != nil {
		return db.explain(err)
	}
	return db.explain(tx.Commit())
}

// codeBusy and those in explain are SQLite's primary result codes
// (sqlite.org/rescode.html).
const codeBusy = 5

// explain puts the file and the next step to what SQLite says.
func (db *DB) explain(err error) error {
	var code interface{ Code() int }
	if err == nil || !errors.As(err, &code) {
		return err
	}
	const (
		locked, readonly, ioerr, corrupt, full, cantopen, notadb = 6, 8, 10, 11, 13, 14, 26
	)
	switch code.Code() & 0xff {
	case codeBusy, locked:
		return fmt.Errorf("%s: another program has held the database for over %d s: end it and try again: %w", db.path, int(busyTimeout.Seconds()), err)
	case readonly:
		return fmt.Errorf("%s: %w; make it and its folder writable, or give another file with --db FILE", db.path, ErrReadOnly)
	case notadb:
		return fmt.Errorf("%s: %w; it was left as it is: give another file with --db FILE", db.path, ErrNotDatabase)
	case corrupt:
		return fmt.Errorf("%s: the database is damaged: move it away and scan again; your marks are in it, so keep it: %w", db.path, err)
	case full:
		return fmt.Errorf("%s: no room left on the disk of the database: make room and scan again; what was stored is kept: %w", db.path, err)
	case ioerr, cantopen:
		return fmt.Errorf("%s: cannot read or write the database: check the disk, or give another file with --db FILE: %w", db.path, err)
	}
	return fmt.Errorf("%s: %w", db.path, err)
}

// withoutPath drops what an error of the operating system says about the path,
// which the message names already.
func withoutPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}
