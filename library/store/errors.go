package store

import (
	"errors"
	"fmt"
)

// What went wrong, for a caller to tell with errors.Is.
var (
	// ErrNotDatabase: the file is no database, or another program's.
	ErrNotDatabase = errors.New("not a database of dubgauge")
	// ErrNewer: a newer dubgauge has written the database.
	ErrNewer = errors.New("written by a newer dubgauge")
	// ErrReadOnly: the database can be read only, and a write was wanted.
	ErrReadOnly = errors.New("the database is read-only")
	// ErrFull: there is no room left on the disk.
	ErrFull = errors.New("no space left on the disk")
	// ErrMoved: the database's file is no longer the one that was opened.
	ErrMoved = errors.New("the database was moved, deleted or replaced since it was opened")
	// ErrMarkedSince: somebody else has changed a track's marks.
	ErrMarkedSince = errors.New("marked by someone else since")
	// ErrNoTrack: no track of that number is in the database.
	ErrNoTrack = errors.New("no such track")
)

// Trouble is a kind of trouble with the database file.
type Trouble string

// The troubles.
const (
	NoPlace      Trouble = "there is no place for the database" // the system names no data folder
	NoFolder     Trouble = "its folder cannot be made"
	CannotOpen   Trouble = "cannot be opened"
	CannotWrite  Trouble = "cannot be opened for writing"
	IsFolder     Trouble = "is a folder"
	NotRegular   Trouble = "is not a regular file"
	Foreign      Trouble = "holds something else"
	OtherProgram Trouble = "is another program's database"
	TooNew       Trouble = "has a newer version"
	TooOld       Trouble = "has an older version and cannot be updated"
	Locked       Trouble = "may be read only"     // it opened so
	Unwritable   Trouble = "cannot be written to" // SQLite says so
	Busy         Trouble = "is held by another program"
	Damaged      Trouble = "is damaged"
	Full         Trouble = "has no room left on its disk"
	BadDisk      Trouble = "cannot be read or written"
	Moved        Trouble = "is no longer the file that was opened"
)

// Error is trouble with the database file.
type Error struct {
	Path    string // absolute; empty for NoPlace
	Trouble Trouble
	// Version is the file's, Known the one that this program writes; for TooNew
	// and TooOld.
	Version, Known int
	Err            error // the cause, or one of the Err values
}

func (e *Error) Error() string { return fmt.Sprintf("%s: %s: %v", e.Path, e.Trouble, e.Err) }

func (e *Error) Unwrap() error { return e.Err }

func noTrack(id int64) error { return fmt.Errorf("#%d: %w", id, ErrNoTrack) }
