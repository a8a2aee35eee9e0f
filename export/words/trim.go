package words

import (
	"fmt"

	"dubgauge/library"
)

// Trim says in a sentence what to do about a track's level.
func Trim(t *library.Track) string {
	tr := t.Trim
	switch {
	case t.Marks.Ignore, !tr.TrimDB.Exists():
		return "No trim: there is no level to go by."
	case tr.LimitingDB > 0:
		return fmt.Sprintf("Wanted %s; its peaks allow %s. The rest is %s of limiting in the master.",
			Page.Change(tr.TrimDB, "dB"), Page.Change(tr.SafeDB, "dB"), Page.Figure(tr.LimitingDB, "dB"))
	}
	return Page.Change(tr.SafeDB, "dB") + ", which its peaks allow."
}
