// Keyboard and mouse of the list.

import { $, $$ } from './dom.js';
import { list, makeCurrent } from './rows.js';
import { clear, filter, only, reachRow } from './find.js';
import { chooseAll } from './pick.js';
import { close, open } from './open.js';

function focus(row) {
  if (!row) return;
  makeCurrent(row);
  reachRow(row);
  row.link.focus();
  row.element.scrollIntoView({ block: 'nearest' });
}

// step goes to the next shown row in a direction.
function step(row, by) {
  for (let i = list.rows.indexOf(row) + by; i >= 0 && i < list.rows.length; i += by) {
    if (list.rows[i].shown) return list.rows[i];
  }
  return null;
}

export const singleKeys = () => $('#single')?.checked;

export function onKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.closest?.('input:not([type=checkbox]):not([type=radio]), select, textarea');
  if (event.key === '/' && !typing && singleKeys()) {
    event.preventDefault();
    $('#q').select();
    $('#q').focus();
    return;
  }
  if (event.key === 'Escape') return escape(event);
  if (event.target.id === 'q') return fromSearch(event);
  const row = event.target.closest?.('.row h3 a') && list.byId.get(event.target.closest('.row').id);
  if (row) fromRow(event, row);
}

// escape leaves what the focus is in: a text is cleared, a menu closed, else the open track;
// what is left of the controls leads back to the list.
function escape(event) {
  const at = event.target.closest?.('input, select, textarea, button, a, summary, .stage');
  if (!at || at.matches('.stage')) {
    if (!at && list.opened) leave();
    return;
  }
  const menu = at.closest('.menu[open]');
  if (at.id === 'q' && at.value) {
    at.value = '';
    return filter();
  }
  if (menu && $('summary', menu).checkVisibility()) {
    menu.open = false;
    return $('summary', menu).focus();
  }
  if (at.closest('.row, #undo') && list.opened) return leave();
  if (at.closest('.controls, .bar, .many')) focus(list.current);
}

// leave closes the open track and goes to its line.
function leave() {
  const row = list.opened;
  close();
  focus(row);
}

function fromSearch(event) {
  if (event.key === 'ArrowDown' || event.key === 'Enter') {
    event.preventDefault();
    focus(list.rows.find(r => r.shown));
  }
}

function fromRow(event, row) {
  const to = {
    ArrowDown: () => step(row, 1), ArrowUp: () => step(row, -1),
    Home: () => list.rows.find(r => r.shown), End: () => list.rows.findLast(r => r.shown),
  }[event.key];
  if (!to) return;
  event.preventDefault();
  focus(to());
}

// actions are what clicks on the controls do.
const actions = [
  ['#print', () => window.print()],
  ['#tally a', a => only(a.dataset.verdict)],
  ['[data-all]', () => clear()],
  ['#pick-all', () => chooseAll(true)],
  ['#pick-none', () => chooseAll(false)],
  ['.skip', () => focus(list.rows.find(r => r.shown))],
];

// closeMenus closes the menus that a click is not in.
function closeMenus(target) {
  for (const menu of $$('.menu[open]')) {
    if (!menu.contains(target)) menu.open = false;
  }
}

export function onClick(event) {
  closeMenus(event.target);
  const act = actions.find(([selector]) => event.target.closest(selector));
  if (act && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    return act[1](event.target.closest(act[0]));
  }
  const link = event.target.closest('.row h3 a');
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const row = list.byId.get(link.closest('.row').id);
  makeCurrent(row);
  if (list.opened === row) {
    close();
    history.replaceState(null, '', location.pathname + location.search);
  } else {
    open(row);
  }
}
