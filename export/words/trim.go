package words

import (
	"dubgauge/detect/reason"
	"dubgauge/library"
)

// TrimWords says in a sentence what to do about a track's level.
func (s Style) TrimWords(t *library.Track) string {
	if t.Marks.Ignore || !t.Trim.TrimDB.Exists() {
		return "No trim: there is no level to go by."
	}
	text := trimOf(t).Sentence()
	if s.detail {
		return text
	}
	return Typeset(text)
}

// Trim is the trim as a figure: what the mixer needs, with a question mark where it is
// more than a trim should be.
func (s Style) Trim(t *library.Track) string {
	text := s.Signed(t.Trim.TrimDB, 1)
	if Questioned(t) {
		text += "?"
	}
	return text
}

// Questioned tells a track whose trim is a question and no order.
func Questioned(t *library.Track) bool { return t.Trim.TrimDB.Exists() && trimOf(t).Question() }

// BakedLess tells a track whose file has no room for all of its trim, or none that is
// known.
func BakedLess(t *library.Track) bool { return t.Trim.TrimDB > 0 && !(t.Trim.SafeDB >= t.Trim.TrimDB) }

func trimOf(t *library.Track) reason.Trim { return t.Trim.Words() }
