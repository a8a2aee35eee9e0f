// The list and the pictures: filter, sort, keyboard, opening a track. What is
// shown comes from the server; without these scripts everything can still be read.
// Nothing here talks to the network but the fetching of a track's own page when
// the page is served live.

import { $, live } from './dom.js';
import { index, list } from './rows.js';
import { clear, filter, further, sort } from './find.js';
import { open } from './open.js';
import { onClick, onKey, singleKeys } from './keys.js';
import { plots } from './picture.js';
import { onBox } from './pick.js';
import { sheets } from './sheets.js';

export { singleKeys };

// choose opens the track of a dot, also when the list does not show it.
export function choose(row) {
  if (!row.shown) clear();
  open(row).then(() => row.element.scrollIntoView({ block: 'start' }));
  row.link.focus({ preventScroll: true });
}

// openAsked opens the track that the address names, also when a link or the user changes it.
export function openAsked() {
  const asked = list.byId.get(location.hash.slice(1));
  if (asked && asked !== list.opened) open(asked).then(() => list.opened?.element.scrollIntoView());
}

// begin sets the list up once the page is there.
function begin() {
  index();
  plots(choose);
  document.addEventListener('keydown', onKey);
  document.addEventListener('click', onClick);
  document.addEventListener('click', onBox);
  $('#controls').addEventListener('input', event => event.target.id === 'sort' ? sort() : filter());
  $('#controls').addEventListener('submit', event => event.preventDefault());
  $('#more').addEventListener('click', further);
  new IntersectionObserver(seen => { if (seen.some(e => e.isIntersecting)) further(); }, { rootMargin: '1500px' }).observe($('#more'));
  window.addEventListener('beforeprint', sheets);
  filter(); // a browser may have kept what was typed
  if ($('#sort').value !== 'verdict' && !live) sort();
  window.addEventListener('hashchange', openAsked);
  openAsked();
}

document.body.classList.add('js');
if ($('#controls')) begin();
