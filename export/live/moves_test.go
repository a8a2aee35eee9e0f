package live

import (
	"testing"

	"dubgauge/export/browser"
)

// Elements are moved as little as can be, in random orders and with one that stands still:
// that one is never taken out of the page.
func TestElementsAreMovedLittle(t *testing.T) {
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	wrong := browser.Eval[[]string](t, ctx, `import('/assets/moves.js').then(({ arrange }) => {
		let seed = 7;
		const random = n => (seed = (seed * 48271) % 2147483647) % n; // Lehmer's generator
		const wrong = [];
		for (let round = 0; round < 300; round++) {
			const list = document.createElement('ol'), all = [];
			for (let i = 0; i < 1 + random(12); i++) all.push(list.appendChild(document.createElement('li')));
			const order = [...all];
			for (let i = order.length - 1; i > 0; i--) { const j = random(i + 1); [order[i], order[j]] = [order[j], order[i]]; }
			const still = round % 2 ? order[random(order.length)] : null, moved = [];
			list.insertBefore = function (e, next) { moved.push(e); return Node.prototype.insertBefore.call(list, e, next); };
			arrange(list, order, still);
			if (order.some((e, i) => list.children[i] !== e)) wrong.push('round ' + round + ' is in another order');
			if (still && moved.includes(still)) wrong.push('round ' + round + ' moves what stands still');
		}
		const list = document.createElement('ol');
		let moved = 0;
		for (let i = 0; i < 50; i++) list.append(document.createElement('li'));
		list.insertBefore = function (e, next) { moved++; return Node.prototype.insertBefore.call(list, e, next); };
		const [first, ...rest] = list.children;
		arrange(list, [...rest, first], null);
		if (moved !== 1) wrong.push('one that goes to the end moves ' + moved);
		return wrong;
	})`)
	if len(wrong) > 0 {
		t.Errorf("%d faults, such as %s", len(wrong), wrong[0])
	}
}
