package live

import (
	"fmt"
	"testing"

	"dubgauge/export/browser"
	"dubgauge/library"
)

// seen lists what of the first screen does not lie whole within the window: the tally, both
// pictures, and of so many tracks that stand out the row's name, what is wrong, by how much it
// is off, its trim and its Play button.
const seen = `((tracks, pictures) => {
	const wrong = [], inside = (name, e) => {
		if (!e) return wrong.push(name + ' is not there');
		const r = e.getBoundingClientRect();
		if (r.width < 4 || r.height < 4 || r.left < 0 || r.top < 0 || r.right > innerWidth + .5 || r.bottom > innerHeight + .5)
			wrong.push(name + ' lies at ' + [r.left, r.top, r.right, r.bottom].map(Math.round) + ' of ' + [innerWidth, innerHeight]);
	};
	const $$ = s => [...document.querySelectorAll(s)];
	if (pictures) {
		$$('#tally a').forEach((a, i) => inside('tally ' + i, a));
		if (!$$('#tally a').length) wrong.push('there is no tally');
		inside('level', document.querySelector('[data-plot=level] svg'));
		inside('low end', document.querySelector('[data-plot=low] svg'));
		$$('.glance .legend li').forEach((li, i) => inside('legend ' + i, li));
	}
	const rows = $$('.row').slice(0, tracks);
	if (rows.length < tracks) wrong.push('there are ' + rows.length + ' rows');
	rows.forEach((row, i) => {
		if (row.classList.contains('ready')) wrong.push('row ' + i + ' does not stand out');
		for (const part of ['h3 a', '.v', '.t b', '[data-play]', '.choose']) inside('row ' + i + ' ' + part, row.querySelector(part));
		for (const b of row.querySelectorAll('.o b')) inside('row ' + i + ' off', b);
		const play = row.querySelector('[data-play]');
		if (play && (play.dataset.play !== row.id.slice(1) || play.getAttribute('aria-label') !== 'Play ' + row.querySelector('h3 a').textContent)) wrong.push('row ' + i + ' plays ' + play.outerHTML);
	});
	if (document.documentElement.scrollWidth > innerWidth) wrong.push('the page is wider than the window');
	return wrong;
})(%d, %v)`

// The first screen answers what must be fixed, with no click: in each window, with each size
// of library.
func TestTheFirstScreen(t *testing.T) {
	for _, c := range []struct {
		tracks, out int
	}{{0, 0}, {1, 0}, {17, 3}, {manyTracks, 3}} {
		var db *library.DB
		if db = crate(t, c.tracks); c.tracks == 17 {
			db = spoilt(t)
		}
		base := served(t, db, Options{})
		ctx := browser.Tab(t)
		visit(t, ctx, base)
		for _, size := range [][2]int64{{1440, 900}, {1024, 768}, {390, 844}} {
			if c.tracks == manyTracks && size[0] == 1024 {
				continue // the library of 17 is looked at in that width, and so many take seconds
			}
			browser.Screen(t, ctx, size[0], size[1], "light")
			browser.Do(t, ctx, browser.Navigate("about:blank"), browser.Navigate(base))
			browser.Until(t, ctx, `document.body.classList.contains('js')`)
			for _, wrong := range browser.Eval[[]string](t, ctx, fmt.Sprintf(seen, c.out, c.tracks > 0)) {
				t.Errorf("%d tracks, %d x %d: %s", c.tracks, size[0], size[1], wrong)
			}
			if c.out == 0 && !browser.Eval[bool](t, ctx, `(b => b.bottom < innerHeight && b.height > 10)(document.querySelector('#notes p').getBoundingClientRect())`) {
				t.Errorf("%d tracks, %d x %d: nothing says what to do", c.tracks, size[0], size[1])
			}
		}
	}
}

// spoilt is a library of 17 tracks of which several stand out, as those of the demo do.
func spoilt(t *testing.T) *library.DB {
	t.Helper()
	db := crate(t, 17)
	for id, change := range map[int]string{3: "loudest = loudest - 4", 6: "low = low - 9, sub = sub - 9, bass = bass - 9", 8: "loudest = loudest + 4", 11: "mono = -20", 14: "error_kind = 'damaged', error_detail = 'no frame can be read'"} {
		alter(t, db, fmt.Sprintf(`UPDATE tracks SET %s, sum = NULL WHERE id = %d`, change, id))
	}
	return db
}
