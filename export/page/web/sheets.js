// The headings of the printed pages.

import { $, $$ } from './dom.js';
import { list } from './rows.js';
import { layAll } from './find.js';

// sheets puts a heading before the first row of each printed page: a fixed count
// of rows, as in the style sheet, of those that are shown.
export function sheets() {
  layAll();
  const ol = $('#list'), heading = $('.sheet', ol);
  if (!heading) return;
  for (const old of $$('.sheet', ol)) old.remove();
  const shown = list.rows.filter(r => r.shown);
  const [first, rest] = [Number(ol.dataset.first), Number(ol.dataset.rest)];
  const of = 1 + Math.ceil(Math.max(0, shown.length - first) / rest);
  for (let page = 1, i = 0; i < shown.length; i = first + rest * (page++ - 1)) {
    const copy = heading.cloneNode(true);
    $('i', copy).textContent = `page ${page} of ${of}`;
    $('em', copy).textContent = list.narrow && ', ' + list.narrow;
    shown[i].element.before(copy);
  }
  if (!shown.length) ol.prepend(heading);
}
