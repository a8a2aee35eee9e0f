// Package store keeps the tracks of a library in one database that survives being
// killed: tracks, records, marks and patterns, and the claims of scans that run
// at once. All SQL is here.
package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"sync"
	"time"
)

const (
	// applicationID marks the database as ours: "dbgg" in ASCII.
	applicationID = 0x64626767
	// sqliteHeader starts every SQLite 3 file (sqlite.org/fileformat2, 1.3.1).
	sqliteHeader = "SQLite format 3\x00"
	// BusyTimeout is how long a statement waits for another process's write.
	// Writes of a scan last milliseconds; a laptop on battery with a slow
	// disk may take seconds to checkpoint.
	BusyTimeout = 20 * time.Second
)

// DB is a library's database. It is safe for use by many goroutines and by
// many processes at once.
type DB struct {
	sql      *sql.DB
	path     string
	readOnly bool
	why      error       // of readOnly
	aside    string      // the folder of a copy that is read in its place; removed by Close
	file     fs.FileInfo // as it was opened for writing
	// writing queues this process's writers, which SQLite would have poll.
	writing sync.Mutex
}

// Close closes the database.
func (db *DB) Close() error {
	err := db.sql.Close()
	if db.aside != "" {
		err = errors.Join(err, os.RemoveAll(db.aside))
	}
	return err
}

// Path is where the database lies.
func (db *DB) Path() string { return db.path }

// Tx is a transaction: what is changed in it is stored wholly or not at all.
type Tx struct {
	ctx context.Context
	sql *sql.Tx
	// prepared are statements that are run many times; they end with the transaction.
	prepared map[string]*sql.Stmt
}

// often is a statement that is run many times in a transaction: SQLite takes longer to
// understand one of fifty columns than to carry it out.
func (tx *Tx) often(query string) (*sql.Stmt, error) {
	if st := tx.prepared[query]; st != nil {
		return st, nil
	}
	st, err := tx.sql.PrepareContext(tx.ctx, query)
	if err == nil {
		tx.prepared[query] = st
	}
	return st, err
}

// Write runs change in one transaction. All writes go through it.
func (db *DB) Write(ctx context.Context, change func(tx *Tx) error) error {
	if db.readOnly {
		return db.why
	}
	db.writing.Lock()
	defer db.writing.Unlock()
	if err := db.stands(); err != nil {
		return err
	}
	tx, err := db.sql.BeginTx(ctx, nil)
	if err != nil {
		return db.explain(err)
	}
	defer tx.Rollback()
	if err := change(&Tx{ctx, tx, map[string]*sql.Stmt{}}); err != nil {
		return db.explain(err)
	}
	return db.explain(tx.Commit())
}

// stands tells that the file which was opened is still at its path: SQLite would go on writing
// to one that was moved or deleted, and what it keeps beside it to another's.
func (db *DB) stands() error {
	if db.file == nil {
		return nil // it is being made
	}
	// What a new database is stands in its log until that is taken over.
	fi, err := os.Stat(db.path)
	if app, ok := application(db.path); err == nil && os.SameFile(fi, db.file) && ok && (app == applicationID || app == 0) {
		return nil
	}
	return &Error{Path: db.path, Trouble: Moved, Err: ErrMoved}
}

func (tx *Tx) exec(query string, args ...any) error {
	_, err := tx.sql.ExecContext(tx.ctx, query, args...)
	return err
}

// changes runs a statement and tells whether it changed anything.
func (tx *Tx) changes(query string, args ...any) (bool, error) {
	res, err := tx.sql.ExecContext(tx.ctx, query, args...)
	if err != nil {
		return false, err
	}
	n, err := res.RowsAffected()
	return n > 0, err
}

func (tx *Tx) row(query string, args ...any) *sql.Row {
	return tx.sql.QueryRowContext(tx.ctx, query, args...)
}

// codeBusy and those in troubles are SQLite's primary result codes
// (sqlite.org/rescode.html).
const codeBusy = 5

var troubles = map[int]Trouble{
	codeBusy: Busy,       // SQLITE_BUSY
	6:        Busy,       // SQLITE_LOCKED
	8:        Unwritable, // SQLITE_READONLY
	10:       BadDisk,    // SQLITE_IOERR
	11:       Damaged,    // SQLITE_CORRUPT
	13:       Full,       // SQLITE_FULL
	14:       BadDisk,    // SQLITE_CANTOPEN
	26:       Foreign,    // SQLITE_NOTADB
}

// code is SQLite's primary result code, or 0.
func code(err error) int {
	var c interface{ Code() int }
	if errors.As(err, &c) {
		return c.Code() & 0xff
	}
	return 0
}

// explain names the file and the trouble in what SQLite says.
func (db *DB) explain(err error) error {
	c := code(err)
	if c == 0 || errors.As(err, new(*Error)) {
		return err
	}
	e := &Error{Path: db.path, Trouble: troubles[c], Err: err}
	switch e.Trouble {
	case Unwritable:
		e.Err = ErrReadOnly
	case Foreign:
		e.Err = ErrNotDatabase
	case "":
		return fmt.Errorf("%s: %w", db.path, err)
	}
	return e
}
