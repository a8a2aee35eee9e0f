// Which rows are shown, and in which order.

import { $, $$ } from './dom.js';
import { arrange } from './moves.js';
import { count } from './pick.js';
import { list, makeCurrent, nameOf, pathOf, standsOut, textOf } from './rows.js';

// A long list is laid out in portions: the next one when the end comes into view, all for
// printing. Rows that are not laid out are kept apart from the page, where they cost nothing.
const portion = 400;
let limit = portion;

export function lay() {
  const laid = [];
  let n = 0;
  for (const row of list.rows) {
    row.hidden = !row.shown || n++ >= limit;
    if (!row.hidden || row === list.opened) laid.push(row); // what is open may be playing
    else if (row.element.parentNode) row.element.remove();
  }
  for (const row of laid) {
    if (row.element.hidden !== row.hidden) row.element.hidden = row.hidden;
  }
  const still = list.opened?.element ?? document.activeElement?.closest('.row') ?? null;
  const came = laid.some(r => !r.element.parentNode);
  arrange($('#list'), laid.map(r => r.element), still);
  if (came) document.dispatchEvent(new CustomEvent('rows-laid'));
  const more = $('#more');
  if (more) more.hidden = n <= limit;
}

export function further() {
  limit += portion;
  lay();
}

export function layAll() {
  limit = Infinity;
  lay();
}

// reachRow lays out the list as far as a row, and a portion behind it.
export function reachRow(row) {
  if (row.hidden && row.shown) limit = portion + list.rows.slice(0, list.rows.indexOf(row)).filter(r => r.shown).length;
  else if (row.element.parentNode) return;
  lay();
}

// keeping is what the form keeps of the list.
function keeping() {
  const words = $('#q').value.toLowerCase().split(/\s+/).filter(Boolean);
  const verdict = $('#verdict').value, status = $('#status').value, folder = $('#folders').value;
  return row => (verdict === 'out' ? standsOut(row) : !verdict || verdict === nameOf(row)) &&
    (!status || row.status === status) && (!folder || pathOf(row).startsWith(folder + '/')) && words.every(w => textOf(row).includes(w));
}

// filter hides what does not match the form.
export function filter() {
  limit = portion;
  keep();
}

// keep is filter that leaves as much of the list laid out as there was.
export function keep() {
  const started = performance.now();
  const keeps = keeping();
  let n = 0;
  for (const row of list.rows) {
    row.shown = keeps(row);
    if (row.shown) n++;
  }
  lay();
  if (list.current && !list.current.shown) makeCurrent(list.rows.find(r => r.shown));
  say(n);
  count();
  performance.measure('filter', { start: started });
}

// say says how many tracks are shown and of which kind, where exports and the print say it too.
function say(n) {
  const total = Math.max(list.total, list.rows.length), what = asked();
  if (!what.length) n = total; // of which some may still be on their way
  const text = `${n} of ${total} ${total === 1 ? 'track' : 'tracks'}`;
  const whole = what.length ? `${text}: ${what.join(', ')}` : text;
  $('#shown').textContent = text;
  $('#narrow').textContent = what.length ? '. ' + whole : '';
  list.narrow = what.length ? whole : '';
  $('#none').hidden = n > 0 || total === 0;
  if ($('#of')) $('#of').textContent = whole;
  $('#filters').classList.toggle('set', ['verdict', 'status', 'folders'].some(id => $('#' + id).value));
  const query = new URLSearchParams([...new FormData($('#controls'))].filter(([, value]) => value)).toString();
  for (const a of $$('.outs a[download]')) a.href = a.pathname + (query && '?' + query);
  for (const a of $$('#tally a')) a.setAttribute('aria-current', String(a.dataset.verdict === $('#verdict').value));
}

// asked is what the form asks for, in words.
function asked() {
  const chosen = id => $('#' + id).value && $('#' + id).selectedOptions[0].textContent;
  return [chosen('verdict'), chosen('status'), $('#folders').value && 'in ' + $('#folders').value, $('#q').value.trim() && `with “${$('#q').value.trim()}”`].filter(Boolean);
}

// only shows the tracks of one verdict, or all again where it shows these alone.
export function only(verdict) {
  $('#verdict').value = $('#verdict').value === verdict ? '' : verdict;
  filter();
}

// clear shows all tracks again.
export function clear() {
  for (const id of ['verdict', 'status', 'folders', 'q']) $('#' + id).value = '';
  filter();
}

// Numbers that do not exist come last, whatever the order.
const compare = (a, b) => isNaN(a) ? (isNaN(b) ? 0 : 1) : isNaN(b) ? -1 : a - b;
const most = (a, b) => compare(-Math.abs(a), -Math.abs(b));
const orders = {
  verdict: (a, b) => a.rank >= 0 && b.rank >= 0 ? a.rank - b.rank : a.verdict - b.verdict || most(a.past, b.past) || most(a.mismatch, b.mismatch),
  quiet: (a, b) => compare(a.mismatch, b.mismatch),
  loud: (a, b) => compare(-a.mismatch, -b.mismatch),
  mismatch: (a, b) => most(a.mismatch, b.mismatch),
  low: (a, b) => most(a.low, b.low),
  sub: (a, b) => most(a.sub, b.sub),
  name: (a, b) => a.name.localeCompare(b.name),
  tempo: (a, b) => compare(a.tempo, b.tempo),
};
const orderNames = { verdict: 'worst first', quiet: 'quietest first', loud: 'loudest first', mismatch: 'largest level mismatch first', low: 'low end furthest off first', sub: 'sub furthest off first', name: 'by name', tempo: 'slowest first' };

// sort puts the rows in the order that is chosen.
export function sort() {
  putInOrder();
  lay();
}

// putInOrder is sort before the page shows it.
export function putInOrder() {
  const key = $('#sort').value;
  const before = (a, b) => pathOf(a) < pathOf(b) ? -1 : pathOf(a) > pathOf(b) ? 1 : a.id.slice(1) - b.id.slice(1);
  list.rows.sort((a, b) => orders[key](a, b) || before(a, b));
  $('#tracks-title').textContent = 'Tracks, ' + orderNames[key];
}
