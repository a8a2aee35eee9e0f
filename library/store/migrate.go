package store

import (
	"context"
	"database/sql"
	"fmt"
)

// migrations bring a database from version i to i+1 (PRAGMA user_version). One
// that was ever released is never edited: add the next. A test opens a database
// of every older version.
var migrations = []string{
	// 1: the tables.
	`CREATE TABLE roots (
		id   INTEGER PRIMARY KEY,
		path TEXT NOT NULL UNIQUE -- absolute, links resolved
	);
	CREATE TABLE globs (
		dir        TEXT PRIMARY KEY, -- absolute path of the folder they are relative to
		released   TEXT NOT NULL,    -- JSON list
		unreleased TEXT NOT NULL
	);
	CREATE TABLE tracks (
		id             INTEGER PRIMARY KEY,
		root           INTEGER NOT NULL REFERENCES roots(id),
		path           TEXT NOT NULL, -- relative, forward slashes, valid UTF-8, NFC where that is free
		disk           BLOB,          -- the path's bytes on the disk where they differ
		size           INTEGER NOT NULL,
		mtime          INTEGER NOT NULL, -- ns since 1970
		content        BLOB,          -- fingerprint of the bytes; see track.ContentOf
		version        INTEGER NOT NULL, -- MeasureVersion
		measured_at    INTEGER NOT NULL, -- ns since 1970
		missing_at     INTEGER,       -- ns since 1970; NULL while the file is there
		mark_status    TEXT NOT NULL DEFAULT '',
		mark_reference INTEGER NOT NULL DEFAULT 0,
		mark_ignore    INTEGER NOT NULL DEFAULT 0,
		title TEXT NOT NULL, artist TEXT NOT NULL, album TEXT NOT NULL, label TEXT NOT NULL,
		catalogue TEXT NOT NULL, isrc TEXT NOT NULL, year INTEGER NOT NULL, genre TEXT NOT NULL,
		tag_bpm REAL, tag_key TEXT NOT NULL,
		format TEXT NOT NULL, codec TEXT NOT NULL, rate INTEGER NOT NULL, channels INTEGER NOT NULL,
		bits INTEGER, kbps INTEGER, duration REAL,
		integrated REAL, loudest REAL, loudest_start REAL, short_max REAL, momentary_max REAL, range REAL,
		true_peak REAL, sample_peak REAL, plr REAL, clipped INTEGER NOT NULL,
		low REAL, sub REAL, bass REAL, mono REAL, bandwidth REAL,
		bpm REAL, bpm_alt REAL, bpm_conf REAL, drift REAL,
		key_name TEXT NOT NULL, key_conf REAL,
		faults TEXT,        -- JSON, NULL when there are none
		error_kind TEXT, error_detail TEXT,
		UNIQUE (root, path)
	);
	CREATE INDEX tracks_size ON tracks(size);
	CREATE TABLE records (
		track  INTEGER PRIMARY KEY REFERENCES tracks(id) ON DELETE CASCADE,
		record TEXT NOT NULL -- the whole measurement record, JSON
	);`,
	// 2: scans that run at once share the work.
	`CREATE TABLE sessions (
		id   INTEGER PRIMARY KEY,
		host TEXT NOT NULL,
		pid  INTEGER NOT NULL,
		beat INTEGER NOT NULL -- ns since 1970, renewed while the scan lives
	);
	CREATE TABLE claims (
		root    INTEGER NOT NULL REFERENCES roots(id) ON DELETE CASCADE,
		path    TEXT NOT NULL,
		session INTEGER NOT NULL REFERENCES sessions(id) ON DELETE CASCADE,
		PRIMARY KEY (root, path)
	) WITHOUT ROWID;
	CREATE INDEX claims_session ON claims(session);`,
	// 3: the fingerprint of the audio, to find the same audio twice.
	`ALTER TABLE tracks ADD COLUMN fingerprint TEXT NOT NULL DEFAULT '';
	UPDATE tracks SET fingerprint = coalesce((SELECT json_extract(record, '$.fingerprint') FROM records WHERE track = tracks.id), '');`,
	// 4: what the balance is judged by, see balance. It comes with a new measurement.
	`ALTER TABLE tracks ADD COLUMN balance TEXT;`,
	// 5: what each tag of a file says on its own, JSON, NULL where there is at most one.
	`ALTER TABLE tracks ADD COLUMN tag_sources TEXT;`,
	// 6: the hash of every byte, see track.Whole; NULL where a file was measured before
	// it was kept.
	`ALTER TABLE tracks ADD COLUMN whole BLOB;`,
	// 7: checksums, see digest; NULL where there is none yet. A damaged row is measured
	// anew by the next scan.
	`ALTER TABLE tracks ADD COLUMN sum BLOB;
	ALTER TABLE tracks ADD COLUMN damaged INTEGER NOT NULL DEFAULT 0;
	ALTER TABLE records ADD COLUMN sum BLOB;`,
	// 8: verdicts are worked out once, see keep.
	`CREATE TABLE changes (n INTEGER NOT NULL); -- one row
	INSERT INTO changes VALUES (1);
	CREATE TRIGGER track_added AFTER INSERT ON tracks BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER track_changed AFTER UPDATE ON tracks BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER track_deleted AFTER DELETE ON tracks BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER pattern_added AFTER INSERT ON globs BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER pattern_changed AFTER UPDATE ON globs BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER pattern_deleted AFTER DELETE ON globs BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TRIGGER root_changed AFTER UPDATE ON roots BEGIN UPDATE changes SET n = n + 1; END;
	CREATE TABLE kept (changes INTEGER NOT NULL, by TEXT NOT NULL); -- one row, or none
	CREATE TABLE kept_tracks (
		place INTEGER PRIMARY KEY, -- in the order of root and path
		track INTEGER NOT NULL UNIQUE,
		line  BLOB NOT NULL, -- see keptTrack
		rest  BLOB NOT NULL, -- JSON, see said
		line_sum BLOB NOT NULL,
		rest_sum BLOB NOT NULL
	);
	CREATE TABLE kept_groups (id INTEGER PRIMARY KEY, said TEXT NOT NULL); -- JSON, see keptGroup`,
	// 9: marks are written down twice, see marksTwice: no measuring brings them back.
	`ALTER TABLE tracks ADD COLUMN marks TEXT NOT NULL DEFAULT '/0/0';
	UPDATE tracks SET marks = mark_status || '/' || mark_reference || '/' || mark_ignore;
	CREATE TRIGGER marks_added AFTER INSERT ON tracks WHEN NEW.mark_status <> '' OR NEW.mark_reference OR NEW.mark_ignore BEGIN
		UPDATE tracks SET marks = NEW.mark_status || '/' || NEW.mark_reference || '/' || NEW.mark_ignore WHERE id = NEW.id; END;
	CREATE TRIGGER marks_changed AFTER UPDATE OF mark_status, mark_reference, mark_ignore ON tracks BEGIN
		UPDATE tracks SET marks = NEW.mark_status || '/' || NEW.mark_reference || '/' || NEW.mark_ignore WHERE id = NEW.id; END;`,
	// 10: what a limiter would take off, see limiting. It comes with a new measurement.
	`ALTER TABLE tracks ADD COLUMN limiting TEXT;`,
	// 11: prints of the music, and which are of the same, see MatchTunes. A print goes by
	// its hash, so that copies count once and what was matched stays so.
	`CREATE TABLE prints (
		track INTEGER PRIMARY KEY REFERENCES tracks(id) ON DELETE CASCADE,
		hash  INTEGER NOT NULL, -- XXH64 of print
		print BLOB NOT NULL     -- see fingerprint.Print.Bytes
	);
	CREATE INDEX prints_hash ON prints(hash);
	CREATE TABLE matched (hash INTEGER PRIMARY KEY); -- with all others
	CREATE TABLE matches (
		a       INTEGER NOT NULL,
		b       INTEGER NOT NULL, -- a < b
		seconds REAL NOT NULL,    -- of the same music
		PRIMARY KEY (a, b)
	) WITHOUT ROWID;
	CREATE INDEX matches_b ON matches(b);`,
	// 12: when each root was last scanned to the end, apart from roots so that it counts as no
	// change of the library.
	`CREATE TABLE scans (
		root INTEGER PRIMARY KEY REFERENCES roots(id) ON DELETE CASCADE,
		at   INTEGER NOT NULL -- ns since 1970
	);`,
}

// migrate makes or updates the tables. Two processes may do so at once: each
// step looks at the version again inside its transaction.
func (db *DB) migrate(ctx context.Context) error {
	if v, err := db.version(ctx, db.sql); err != nil || v == len(migrations) {
		return err
	}
	return db.Write(ctx, func(tx *Tx) error {
		v, err := db.version(ctx, tx.sql)
		if err != nil {
			return err
		}
		for ; v < len(migrations); v++ {
			if err := tx.exec(migrations[v]); err != nil {
				return fmt.Errorf("update from version %d: %w", v, err)
			}
		}
		// A row with another column has another checksum; the next scan takes it.
		if err := tx.exec(`UPDATE tracks SET sum = NULL`); err != nil {
			return err
		}
		return tx.exec(fmt.Sprintf("PRAGMA user_version=%d; PRAGMA application_id=%d", v, applicationID))
	})
}

type querier interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

// version reads the schema's version, and refuses a database that is another
// program's or from a newer version.
func (db *DB) version(ctx context.Context, q querier) (int, error) {
	var v, app, tables int
	err := q.QueryRowContext(ctx, `SELECT (SELECT user_version FROM pragma_user_version),
		(SELECT application_id FROM pragma_application_id), (SELECT count(*) FROM sqlite_schema)`).Scan(&v, &app, &tables)
	switch {
	case err != nil:
		return 0, err
	case app != applicationID && (v != 0 || tables != 0):
		return 0, &Error{Path: db.path, Trouble: OtherProgram, Err: ErrNotDatabase}
	case v > len(migrations):
		return 0, &Error{Path: db.path, Trouble: TooNew, Version: v, Known: len(migrations), Err: ErrNewer}
	}
	return v, nil
}

// checkVersion is for a database that cannot be updated.
func (db *DB) checkVersion(ctx context.Context) error {
	v, err := db.version(ctx, db.sql)
	if err == nil && v < len(migrations) {
		err = &Error{Path: db.path, Trouble: TooOld, Version: v, Known: len(migrations), Err: ErrReadOnly}
	}
	return err
}
