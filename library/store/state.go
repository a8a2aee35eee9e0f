package store

import (
	"context"
	"fmt"
)

// State names the library as it is now: it is another text after every change of a track, a
// mark, a pattern or a root, and after tracks were matched for the music that they hold,
// whoever did it. It costs one small query, so that it can be asked for every second.
func (db *DB) State(ctx context.Context) (string, error) {
	var changes, matched int64
	err := db.sql.QueryRowContext(ctx, `SELECT (SELECT n FROM changes), (SELECT count(*) FROM matched)`).Scan(&changes, &matched)
	return fmt.Sprintf("%d-%d", changes, matched), db.explain(err)
}
