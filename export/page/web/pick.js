// Choosing several tracks, to mark them at once.

import { $ } from './dom.js';
import { list } from './rows.js';

let last = null; // the row whose box was changed last

// chosen are the rows that are, shown or not.
export const chosen = () => list.rows.filter(r => r.box?.checked);

// count shows how many are chosen, and what can be done with them.
export function count() {
  const form = $('#many');
  if (!form) return;
  const rows = chosen(), n = rows.length, hidden = rows.filter(r => !r.shown).length;
  form.classList.toggle('on', n > 0);
  $('#picked').textContent = `${n} ${n === 1 ? 'track' : 'tracks'} chosen` + (hidden ? `, ${hidden} of them not shown` : '');
}

// onBox takes a change of one box; with the shift key, of all shown ones from the last on.
export function onBox(event) {
  const box = event.target.closest?.('.choose');
  if (!box) return;
  const row = list.byId.get('t' + box.value), shown = list.rows.filter(r => r.shown);
  if (event.shiftKey && last && shown.includes(last)) {
    const [from, to] = [shown.indexOf(last), shown.indexOf(row)].sort((a, b) => a - b);
    for (const r of shown.slice(from, to + 1)) r.box.checked = box.checked;
  }
  last = row;
  count();
}

export function chooseAll(on) {
  for (const row of list.rows) {
    if (row.box && (row.shown || !on)) row.box.checked = on;
  }
  count();
}
