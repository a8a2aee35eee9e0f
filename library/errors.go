package library

import (
	"time"

	"dubgauge/library/scan"
	"dubgauge/library/store"
	"dubgauge/library/track"
)

// What can go wrong, for errors.Is. The errors carry the facts; what to do about
// them is for whoever shows them.
var (
	ErrReadOnly    = store.ErrReadOnly
	ErrMoved       = store.ErrMoved
	ErrMarkedSince = store.ErrMarkedSince
	ErrNoTrack     = store.ErrNoTrack
	ErrNoFolder    = scan.ErrNoFolder
	ErrNotFolder   = scan.ErrNotFolder
)

// What can go wrong, for errors.As.
type (
	// DatabaseError is trouble with the database file.
	DatabaseError = store.Error
	// MediumError says that the disk no longer answers.
	MediumError = scan.MediumError
	// ChangedError says that a file is not the one that was measured.
	ChangedError = track.ChangedError
)

// Trouble is the kind of a DatabaseError.
type Trouble = store.Trouble

// The troubles.
const (
	NoPlace      = store.NoPlace
	NoFolder     = store.NoFolder
	CannotOpen   = store.CannotOpen
	CannotWrite  = store.CannotWrite
	IsFolder     = store.IsFolder
	NotRegular   = store.NotRegular
	Foreign      = store.Foreign
	OtherProgram = store.OtherProgram
	TooNew       = store.TooNew
	TooOld       = store.TooOld
	Locked       = store.Locked
	Unwritable   = store.Unwritable
	Busy         = store.Busy
	Damaged      = store.Damaged
	Full         = store.Full
	BadDisk      = store.BadDisk
	Moved        = store.Moved
)

// BusyTimeout is how long a database was waited for when its trouble is Busy.
const BusyTimeout time.Duration = store.BusyTimeout

// Reason drops what an error of the operating system says about the path.
func Reason(err error) error { return scan.Reason(err) }
