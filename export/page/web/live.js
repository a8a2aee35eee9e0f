// What changes in the library while the page is open: marks of ours, which are written to the
// database at once and taken back at once, and whatever others do. The list, the pictures and
// the open track follow without a reload; what is open, focused, filtered, scrolled or playing
// stays as it is.

import { $ } from './dom.js';
import { change, forget, list, rank } from './rows.js';
import { keep, putInOrder } from './find.js';
import { parts } from './open.js';
import { plots, ring } from './picture.js';
import { choose, openAsked } from './list.js';
import { children, morph } from './morph.js';
import './marks.js';

let state = document.body.dataset.state ?? '';
let order = []; // the worst first, as the server has it, once it said so
let turn = Promise.resolve(); // one change after another

// inTurn does work once all that came before is done.
export function inTurn(work) {
  const mine = turn.then(work);
  turn = mine.catch(() => {});
  return mine;
}

// refresh takes over what the server now says. On the page of one track, it is shown anew.
export function refresh() {
  return inTurn(async () => {
    if (!$('#list')) return refreshAlone();
    const answer = await fetch('/changes?since=' + encodeURIComponent(state));
    if (!answer.ok) throw new Error(await answer.text());
    await take(await answer.json());
  });
}

// since is the state that the page has.
export const since = () => state;

// takeOver takes what a mark was answered with.
export const takeOver = delta => $('#list') ? take(delta) : refreshAlone();

// idle does something once the page is drawn, or soon where it is not seen.
const idle = work => window.requestIdleCallback ? requestIdleCallback(work, { timeout: 200 }) : setTimeout(work, 50);

// libraryOf is the part of a state that says which library it is of: the rest counts rows.
const libraryOf = text => text.split('.', 2).join('.');

// take applies what changed. Rows beyond those that a screen shows come afterwards.
async function take(delta) {
  const changed = libraryOf(delta.state) !== libraryOf(state);
  state = delta.state;
  apply(delta);
  document.dispatchEvent(new CustomEvent('library-change', { detail: delta }));
  if (delta.more) idle(() => refresh().catch(() => {})); // the next refresh asks for it again
  else if (!list.opened && location.hash) openAsked();
  if (changed && list.opened) await reopen(list.opened);
}

function apply(delta) {
  const started = performance.now();
  inPlace(() => changes(delta));
  performance.measure('apply', { start: started });
}

function changes(delta) {
  for (const [name, html] of Object.entries(delta.parts ?? {})) part(name, html);
  for (const id of delta.gone ?? []) forget('t' + id);
  const rows = Object.values(delta.rows ?? {}), moved = rows.length || delta.order || delta.gone;
  for (const now of [...fragment(rows.join('')).children]) row(now);
  if (delta.order) order = delta.order;
  if (delta.order || rows.length && order.length) rank(order.map(id => list.byId.get('t' + id)));
  if (moved && (!delta.more || delta.order)) putInOrder();
  list.total = order.length || list.total;
  keep();
  if (delta.parts?.glance !== undefined) plots(choose);
}

// inPlace changes the page and leaves what the eye is on in its place.
function inPlace(change) {
  const watched = inView(), top = watched?.getBoundingClientRect().top;
  change();
  if (watched?.isConnected) scrollBy(0, watched.getBoundingClientRect().top - top);
}

// inView is what the eye is on: what has the focus, the open track,
// or the row at the top; nothing while the beginning of the page is seen.
function inView() {
  const shown = e => e && e.getBoundingClientRect().bottom > 0 && e.getBoundingClientRect().top < innerHeight;
  if (scrollY < 10) return null;
  const focused = document.activeElement?.closest('#list .row *');
  return [focused, list.opened?.element].find(shown) ?? list.rows.find(r => !r.hidden && shown(r.element))?.element;
}

// fragment parses HTML of the server, which escapes every tag.
function fragment(html) {
  const template = document.createElement('template');
  template.innerHTML = html;
  return template.content;
}

function part(name, html) {
  const element = document.getElementById(name), chosen = element?.value;
  if (!element) return;
  children(element, fragment(html));
  if (chosen !== undefined) element.value = [...element.options].some(o => o.value === chosen) ? chosen : '';
}

// row makes a row what the server says, and leaves open what is open in it. One that is not
// laid out is replaced.
function row(now) {
  const known = list.byId.get(now.id);
  if (!known || known.hidden && list.opened !== known) {
    change(now);
    return;
  }
  if (list.opened === known) {
    now.classList.add('open');
    const detail = $(':scope > .detail', known.element);
    if (detail) now.append(document.importNode(detail, false));
    detail?.setAttribute('data-keep', '');
  }
  now.hidden = known.hidden;
  morph(known.element, now);
  if (list.opened === known) $(':scope > .detail', known.element)?.removeAttribute('data-keep');
  change(known.element);
}

// reopen brings what is shown of the open track up to date.
async function reopen(row) {
  const now = document.createElement('div');
  now.append(...await parts(row));
  const detail = $(':scope > .detail', row.element);
  if (list.opened === row && detail) inPlace(() => children(detail, now));
}

// A track on a page of its own.
async function refreshAlone() {
  const answer = await fetch(location.pathname, { headers: { Accept: 'text/html' } });
  if (!answer.ok) throw new Error(await answer.text());
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  children($('main'), $('main', page));
}

// A page that came with a filter has some of the rows: the rest follows.
if ($('#list') && list.rows.length < list.total) refresh().catch(() => {});
