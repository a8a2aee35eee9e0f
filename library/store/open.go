package store

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"syscall"

	"github.com/adrg/xdg"
)

// DefaultPath is the database in the user's data folder:
// $XDG_DATA_HOME/dubgauge/library.db, or what the system has in its place. The
// folder is made when it is missing.
func DefaultPath() (string, error) {
	p, err := xdg.DataFile(filepath.Join("dubgauge", "library.db"))
	if err != nil {
		return "", &Error{Trouble: NoPlace, Err: err}
	}
	return p, nil
}

// Open opens the database at path, makes it when it does not exist, and brings
// an older one up to date. A database that may not be written, or lies on a
// medium that may not, opens for reading: a write then gives ErrReadOnly. Errors
// about the file are of type *Error.
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
			return nil, &Error{Path: abs, Trouble: NoFolder, Err: err}
		}
	}
	db, err := openWritable(ctx, abs)
	if err != nil && !fresh && !errors.Is(err, ErrNotDatabase) && !errors.Is(err, ErrNewer) && ctx.Err() == nil {
		if ro, e := openReadOnly(ctx, abs); e == nil {
			if diskFull(abs) {
				ro.why = &Error{Path: abs, Trouble: Full, Err: ErrFull}
			}
			return ro, nil
		} else if errors.Is(e, ErrReadOnly) || errors.Is(e, ErrNewer) || errors.Is(e, ErrNotDatabase) {
			return nil, e
		}
	}
	return db, err
}

func openWritable(ctx context.Context, path string) (*DB, error) {
	// Ask the system first: SQLite would fall back to reading without a word.
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if errors.Is(err, syscall.ENOSPC) {
		return nil, &Error{Path: path, Trouble: Full, Err: ErrFull}
	}
	if err != nil {
		return nil, &Error{Path: path, Trouble: CannotWrite, Err: err}
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
	if err == nil {
		db.file, err = os.Stat(path)
	}
	if err != nil {
		db.sql.Close()
		if t := troubles[code(err)]; (t == BadDisk || t == Unwritable) && diskFull(path) {
			return nil, &Error{Path: path, Trouble: Full, Err: ErrFull}
		}
		return nil, db.explain(err)
	}
	return db, nil
}

// openReadOnly opens for reading: beside a writer when the folder lets SQLite
// share the log, else as a file that nobody changes, or, where there is a log that would
// be passed over so, a copy of both.
func openReadOnly(ctx context.Context, path string) (*DB, error) {
	db, first := tryReadOnly(ctx, path, path, "ro")
	if first == nil {
		return db, nil
	}
	if logOf(path) == "" {
		if db, err := tryReadOnly(ctx, path, path, "ro&immutable=1"); err == nil {
			return db, nil
		}
		return nil, first
	}
	dir, err := copyAside(path)
	if err != nil {
		return nil, first
	}
	if db, err = tryReadOnly(ctx, path, filepath.Join(dir, filepath.Base(path)), "rw"); err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	db.aside = dir
	return db, nil
}

// tryReadOnly opens the file at, which holds the database of path.
func tryReadOnly(ctx context.Context, path, at, mode string) (*DB, error) {
	db, err := connect(at, mode)
	if err != nil {
		return nil, err
	}
	db.readOnly, db.path = true, path
	db.why = &Error{Path: path, Trouble: Locked, Err: ErrReadOnly}
	if err := db.checkVersion(ctx); err != nil {
		db.sql.Close()
		return nil, db.explain(err)
	}
	return db, nil
}
