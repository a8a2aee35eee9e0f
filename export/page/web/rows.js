// The rows of the list, as objects beside their elements.

import { $, $$, number } from './dom.js';

const verdicts = ['unreadable', 'hold-back', 'check', 'ready', 'ignored'];

// list is what the scripts know of the list: its rows in the order of the page, hidden ones
// too, the one that is open, the one that Tab leads to, how many tracks there are in all, and
// which of them are shown, in words.
export const list = { rows: [], byId: new Map(), opened: null, current: null, total: 0, narrow: '' };

// read takes from a row's element what it is ordered and found by.
function read(row) {
  const element = row.element, d = element.dataset, link = $('h3 a', element);
  link.tabIndex = row === list.current ? 0 : -1;
  link.setAttribute('aria-expanded', String(row === list.opened));
  return Object.assign(row, {
    link, box: $('.choose', element), status: $('.i b', element).textContent, verdict: verdicts.findIndex(v => element.classList.contains(v)),
    name: link.textContent, path: null, text: null,
    past: number(d.p), mismatch: number(d.m), low: number(d.l), sub: number(d.u), tempo: number($('.bpm', element)?.textContent),
  });
}

function newRow(element) {
  return read({ element, id: element.id, shown: true, hidden: element.hidden });
}

// index reads the list from the page.
export function index() {
  for (const gap of [...$('#list').childNodes]) if (gap.nodeType === 3) gap.remove(); // between rows that come and go
  list.rows = $$('#list > .row').map(newRow);
  for (const { link } of list.rows) if (link.search) link.search = ''; // the filter, which changes here
  list.byId = new Map(list.rows.map(r => [r.id, r]));
  list.total = Number($('#list').dataset.total);
  if ($('#list').dataset.order === 'verdict') rank(list.rows);
  makeCurrent(list.rows[0]);
}

// rank notes the order in which the server has the worst first: it knows the figures better
// than they are written.
export function rank(rows) {
  rows.forEach((row, i) => { if (row) row.rank = i; });
}

// change takes over that a row's element is another, or has other content.
export function change(element) {
  const known = list.byId.get(element.id);
  if (!known) {
    const row = newRow(element);
    list.byId.set(row.id, row);
    list.rows.push(row);
    return;
  }
  const box = known.box;
  known.element = element;
  read(known);
  if (box) known.box.checked = box.checked;
}

// forget drops a row.
export function forget(id) {
  const row = list.byId.get(id);
  if (!row) return;
  list.byId.delete(id);
  list.rows.splice(list.rows.indexOf(row), 1);
  row.element.remove();
  if (list.opened === row) list.opened = null;
  if (list.current === row) makeCurrent(list.rows.find(r => r.shown));
}

export const nameOf = row => verdicts[row.verdict];
export const standsOut = row => row.verdict < 3;

// textOf is what the words of a search are looked for in.
export function textOf(row) {
  row.text ??= (row.name + ' ' + $('.v', row.element).textContent + ' ' + $('cite', row.element).textContent).toLowerCase();
  return row.text;
}

export function pathOf(row) {
  row.path ??= $('cite', row.element).textContent;
  return row.path;
}

export function makeCurrent(row) {
  if (list.current) list.current.link.tabIndex = -1;
  list.current = row || null;
  if (list.current) list.current.link.tabIndex = 0;
}
