package words

import (
	"errors"
	"fmt"
	"strings"

	"dubgauge/library"
)

// databaseWords says what is wrong with the database {path} and what to do.
// {why} is the cause.
var databaseWords = map[library.Trouble]string{
	library.NoPlace:      "no place for the database: {why}; give one with --db FILE",
	library.NoFolder:     "{path}: cannot make the folder for the database: {why}; give another place with --db FILE",
	library.CannotOpen:   "{path}: cannot open the database: {why}; give another file with --db FILE",
	library.CannotWrite:  "{path}: cannot write the database: {why}; give another file with --db FILE",
	library.IsFolder:     "{path}: is a folder: {why}; give a file with --db FILE",
	library.NotRegular:   "{path}: is not a regular file: {why}; give another file with --db FILE",
	library.Foreign:      "{path}: {why}; it was left as it is: give another file with --db FILE",
	library.OtherProgram: "{path}: {why} but another program's; it was left as it is: give another file with --db FILE",
	library.TooNew:       "{path}: {why} (version {version}, this one knows {known}); update dubgauge, or give another file with --db FILE",
	library.TooOld: "{path}: {why} and from an older dubgauge (version {version} of {known}); " +
		"copy it to where it can be written, and give the copy with --db FILE",
	library.Locked:     "{path}: {why}; make it writable, or give another file with --db FILE",
	library.Unwritable: "{path}: {why}; make it and its folder writable, or give another file with --db FILE",
	library.Busy:       "{path}: another program has held the database for over {wait} s: end it and try again: {why}",
	library.Damaged:    "{path}: the database is damaged: move it away and scan again; your marks are in it, so keep it: {why}",
	library.Full:       "{path}: no room left on the disk of the database: make room and scan again; what was stored is kept: {why}",
	library.Moved:      "{path}: {why}: nothing was written; put it back, or end this and start again",
	library.BadDisk:    "{path}: cannot read or write the database: check the disk, or give another file with --db FILE: {why}",
}

// nextSteps are what to do about other errors, in their own words.
var nextSteps = []struct {
	err  error
	step string
}{
	{library.ErrNoTrack, "`dubgauge list` shows what there is"},
	{library.ErrNoFolder, "`dubgauge scan DIR`"},
	{library.ErrNotFolder, "`dubgauge measure` takes files"},
}

// diskGone is what to do when the disk of a library no longer answers.
const diskGone = "what was measured is kept; plug it in again and repeat the scan, it goes on from here"

// Error puts an error into words: what happened, then what to do.
func Error(err error) string {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		lines := make([]string, 0, 2)
		for _, e := range joined.Unwrap() {
			lines = append(lines, Error(e))
		}
		return strings.Join(lines, "\n")
	}
	if db := (*library.DatabaseError)(nil); errors.As(err, &db) {
		return databaseError(db)
	}
	if errors.As(err, new(*library.MediumError)) {
		return err.Error() + ": " + diskGone
	}
	for _, n := range nextSteps {
		if errors.Is(err, n.err) {
			return err.Error() + ": " + n.step
		}
	}
	return err.Error()
}

func databaseError(e *library.DatabaseError) string {
	return strings.NewReplacer("{path}", e.Path, "{why}", library.Reason(e.Err).Error(),
		"{version}", fmt.Sprint(e.Version), "{known}", fmt.Sprint(e.Known),
		"{wait}", fmt.Sprintf("%.0f", library.BusyTimeout.Seconds())).Replace(databaseWords[e.Trouble])
}
