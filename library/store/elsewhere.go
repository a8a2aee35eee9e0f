package store

import (
	"context"
	"errors"
	"os"
	"time"
)

// Elsewhere lists the scans of other processes that run on the database now, the first begun
// first: each by the path of the library in which it measures a file, empty where it has none
// at hand.
func (db *DB) Elsewhere(ctx context.Context) (roots []string, err error) {
	host, _ := os.Hostname()
	rows, err := db.sql.QueryContext(ctx, `SELECT host, pid,
		coalesce((SELECT r.path FROM claims c JOIN roots r ON r.id = c.root WHERE c.session = s.id LIMIT 1), '')
		FROM sessions s WHERE beat > ? ORDER BY id`, time.Now().Add(-deadAfter).UnixNano())
	if err != nil {
		return nil, db.explain(err)
	}
	for rows.Next() {
		var where, root string
		var pid int
		if err := rows.Scan(&where, &pid, &root); err != nil {
			rows.Close()
			return nil, db.explain(err)
		}
		if where == host && (pid == os.Getpid() || processGone(pid)) {
			continue
		}
		roots = append(roots, root)
	}
	return roots, db.explain(errors.Join(rows.Err(), rows.Close()))
}
