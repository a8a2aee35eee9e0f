package store

import (
	"database/sql"
	"encoding/json"
	"errors"
	"path/filepath"
	"strconv"
	"sync"
	"time"

	"dubgauge/detect"
	"dubgauge/detect/fingerprint"
	"dubgauge/library/track"
)

// File is a file that is to be a track.
type File struct {
	Place       *Place
	Rel, Path   string // relative to the root: on the disk, and as stored
	Size, MTime int64  // bytes; ns since 1970
	Content     []byte // see track.ContentOf; nil while it is not known
	Whole       []byte // see track.Whole; likewise
}

// Disk is the file's absolute path.
func (f *File) Disk() string { return filepath.Join(f.Place.Root, filepath.FromSlash(f.Rel)) }

// diskColumn is NULL where the name is shown as it is on the disk.
func (f *File) diskColumn() any {
	if f.Rel == f.Path {
		return nil
	}
	return []byte(f.Rel)
}

// Put inserts or renews the row of a file. Marks are kept.
func (tx *Tx) Put(f *File, r *track.Record) error {
	text, err := json.Marshal(r)
	if err != nil {
		return err
	}
	e, err := newEntry(f, r, text)
	if err == nil {
		err = tx.put(e)
	}
	return err
}

// entry is a file with its record as both are stored.
type entry struct {
	file      *File
	values    []any // of the columns that the row's checksum is over
	sum       []byte
	text      []byte // without the print of the music, which stands elsewhere
	recordSum []byte
	print     []byte // nil for none
}

// newEntry is of a record whose JSON is text.
func newEntry(f *File, r *track.Record, text []byte) (*entry, error) {
	text = withoutPrint(text)
	e := &entry{file: f, text: text, recordSum: recordSum(text)}
	if print, err := fingerprint.BytesOf(r.TunePrint); err == nil {
		e.print = print
	}
	e.values = append(make([]any, 0, 50), f.Size, f.Content, f.Whole, int64(track.MeasureVersion))
	for _, c := range recordColumns(r) {
		value, err := columnValue(c.field)
		if err != nil {
			return nil, err
		}
		e.values = append(e.values, value)
	}
	e.sum = sumOf(e.values)
	return e, nil
}

// putRow is the statement that put runs.
var putRow = sync.OnceValue(func() string {
	names, marks := "root, path, disk, mtime, measured_at, size, content, whole, version", "?, ?, ?, ?, ?, ?, ?, ?, ?"
	sets := "disk = excluded.disk, size = excluded.size, mtime = excluded.mtime, content = excluded.content, whole = excluded.whole, " +
		"version = excluded.version, measured_at = excluded.measured_at, sum = excluded.sum, damaged = 0, missing_at = NULL, " +
		"mark_status = CASE WHEN mark_status IN ('released', 'unreleased') THEN mark_status ELSE '' END" // what is left of a damaged one
	for _, c := range recordColumns(&track.Record{}) {
		names += ", " + c.name
		marks += ", ?"
		sets += ", " + c.name + " = excluded." + c.name
	}
	return `INSERT INTO tracks (` + names + `, sum) VALUES (` + marks + `, ?)
		ON CONFLICT (root, path) DO UPDATE SET ` + sets + ` RETURNING id`
})

// put inserts or renews a row.
func (tx *Tx) put(e *entry) error {
	f := e.file
	args := append(make([]any, 0, len(e.values)+6), f.Place.RootID, f.Path, f.diskColumn(), f.MTime, time.Now().UnixNano())
	args = append(append(args, e.values...), e.sum)
	put, err := tx.often(putRow())
	if err != nil {
		return err
	}
	var id int64
	if err := put.QueryRowContext(tx.ctx, args...).Scan(&id); err != nil {
		return err
	}
	if put, err = tx.often(`INSERT OR REPLACE INTO records (track, record, sum) VALUES (?, ?, ?)`); err != nil {
		return err
	}
	if _, err = put.ExecContext(tx.ctx, id, string(e.text), e.recordSum); err != nil {
		return err
	}
	return tx.putPrint(id, e.print)
}

// Touch notes that the file of a row is there, with that time stamp.
func (tx *Tx) Touch(f *File, r *Row) error {
	return tx.exec(`UPDATE tracks SET mtime = ?, disk = ?, missing_at = NULL WHERE id = ?`, f.MTime, f.diskColumn(), r.ID)
}

// aside is the path of a row on its way to another: no file name has a NUL.
func aside(id int64) string { return "\x00" + strconv.FormatInt(id, 10) }

// SetAside takes a row that is going to move off its path, so that names can be
// swapped. It tells whether the row was still there.
func (tx *Tx) SetAside(r *Row) (bool, error) {
	return tx.changes(`UPDATE tracks SET path = ? WHERE id = ? AND root = ? AND path = ?`, aside(r.ID), r.ID, r.RootID, r.stored)
}

// displacedBy parts the path of a row that was displaced from its number: no path has
// it.
const displacedBy = "//"

// Displace takes a row that is still where it was off its path, where another file is
// now. It is kept as missing, with its marks, until its content turns up.
func (tx *Tx) Displace(r *Row) error {
	return tx.exec(`UPDATE tracks SET path = path || ? || id, disk = coalesce(disk, CAST(path AS BLOB)), missing_at = coalesce(missing_at, ?)
		WHERE id = ? AND root = ? AND path = ?`, displacedBy, time.Now().UnixNano(), r.ID, r.RootID, r.stored)
}

// Sketch is what tells two tracks apart in the record of a row: names, length, tempo and
// fingerprint. found is false when the row is gone.
func (tx *Tx) Sketch(r *Row) (rec track.Record, found bool, err error) {
	rec = track.Record{Path: r.Path, Measurement: detect.Empty()}
	err = tx.row(`SELECT title, artist, isrc, duration, bpm, fingerprint FROM tracks WHERE id = ?`, r.ID).
		Scan(&rec.Tags.Title, &rec.Tags.Artist, &rec.Tags.ISRC, number{&rec.File.DurationS}, number{&rec.Tempo.BPM}, &rec.Fingerprint)
	if errors.Is(err, sql.ErrNoRows) {
		return rec, false, nil
	}
	return rec, err == nil, err
}

// Move gives a row that was set aside to the file. Where another scan was faster
// the row goes back, and Move tells so with false.
func (tx *Tx) Move(f *File, from *Row) (bool, error) {
	var taken int
	if err := tx.row(`SELECT count(*) FROM tracks WHERE root = ? AND path = ?`, f.Place.RootID, f.Path).Scan(&taken); err != nil {
		return false, err
	}
	if taken > 0 {
		return false, tx.exec(`UPDATE tracks SET root = ?, path = ? WHERE id = ?`, from.RootID, from.stored, from.ID)
	}
	return true, tx.exec(`UPDATE tracks SET root = ?, path = ?, disk = ?, mtime = ?, missing_at = NULL WHERE id = ?`,
		f.Place.RootID, f.Path, f.diskColumn(), f.MTime, from.ID)
}

// Rehome gives a row to another root, under the path that it has, and tells whether
// it did: not where another stands there.
func (tx *Tx) Rehome(r *Row, to *Place) (bool, error) {
	done, err := tx.changes(`UPDATE OR IGNORE tracks SET root = ? WHERE id = ? AND root = ? AND path = ?`, to.RootID, r.ID, r.RootID, r.stored)
	if done {
		r.RootID, r.Root = to.RootID, to.Root
	}
	return done, err
}

// Copy gives a file the measurement and the marks of the row that it is a copy
// of. A row that stood at its path keeps its number and its own marks. Copy tells
// whether the row was still there.
func (tx *Tx) Copy(f *File, from *Row) (bool, error) {
	var t track.Track
	names := columnNames(scalarColumns(&t))
	sets := ""
	for _, c := range scalarColumns(&t) {
		sets += ", " + c.name + " = excluded." + c.name
	}
	var id int64
	err := tx.row(`INSERT INTO tracks (root, path, disk, size, mtime, content, whole, version, measured_at,
			sum, damaged, mark_status, mark_reference, mark_ignore, `+names+`)
		SELECT ?, ?, ?, size, ?, content, whole, version, measured_at, sum, damaged, mark_status, mark_reference, mark_ignore, `+names+`
		FROM tracks WHERE id = ?
		ON CONFLICT (root, path) DO UPDATE SET disk = excluded.disk, size = excluded.size, mtime = excluded.mtime,
			content = excluded.content, whole = excluded.whole, version = excluded.version, measured_at = excluded.measured_at, sum = excluded.sum,
			damaged = excluded.damaged, missing_at = NULL`+sets+`
		RETURNING id`,
		f.Place.RootID, f.Path, f.diskColumn(), f.MTime, from.ID).Scan(&id)
	if errors.Is(err, sql.ErrNoRows) { // deleted meanwhile
		return false, nil
	}
	if err == nil {
		err = tx.exec(`INSERT OR REPLACE INTO records (track, record, sum) SELECT ?, record, sum FROM records WHERE track = ?`, id, from.ID)
	}
	if err == nil {
		err = tx.copyPrint(id, from.ID)
	}
	return true, err
}
