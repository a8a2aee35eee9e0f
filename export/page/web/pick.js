// Choosing several tracks, to mark them at once.

import { $, $$ } from './dom.js';
import { list } from './rows.js';

let last = null; // the row whose box was changed last

const boxes = () => $$('#list .choose:checked');

// count shows how many are chosen, and what can be done with them.
export function count() {
  const form = $('#many');
  if (!form) return;
  const n = boxes().length, hidden = boxes().filter(b => !list.byId.get('t' + b.value)?.shown).length;
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
    for (const r of shown.slice(from, to + 1)) set(r, box.checked);
  }
  last = row;
  count();
}

function set(row, on) {
  const box = $('.choose', row.element);
  if (box) box.checked = on;
}

export function chooseAll(on) {
  for (const row of list.rows) {
    if (row.shown || !on) set(row, on);
  }
  count();
}
