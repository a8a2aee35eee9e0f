package page

import "fmt"

// Rows of the trim sheet on the first printed page, which begins with the head of
// the whole, and on each later one. They are fixed, as is every height in the
// style sheet's print part, so that no font can push a row onto another page:
//
//	head 37 mm + heading 7 mm + 22 rows of 8.5 mm + cautions 21 mm = 252 mm
//	             heading 7 mm + 26 rows of 8.5 mm + cautions 21 mm = 249 mm
//
// within the 253.4 mm that margins of 13 mm leave of US Letter; A4 is higher.
const (
	firstRows = 22
	sheetRows = 26
)

// numberSheets puts the heading of each printed page at its first row.
func numberSheets(rows []row) {
	sheets := 1
	if more := len(rows) - firstRows; more > 0 {
		sheets += (more + sheetRows - 1) / sheetRows
	}
	for sheet, i := 1, 0; i < len(rows); sheet++ {
		rows[i].Sheet = fmt.Sprintf("page %d of %d", sheet, sheets)
		i += sheetRows
		if sheet == 1 {
			i = firstRows
		}
	}
}

// sheetHeading heads a printed page.
type sheetHeading struct{ Title, Narrow, Page string }

func headingOf(p *page, r row) sheetHeading {
	h := sheetHeading{Title: p.Title, Page: r.Sheet}
	if p.Filter.Narrows() {
		h.Narrow = p.Shown
	}
	return h
}
