// Keyboard and mouse of the list.

import { $ } from './dom.js';
import { list, makeCurrent } from './rows.js';
import { filter, reachRow } from './find.js';
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
  if (event.target.id === 'q') return fromSearch(event);
  if (event.key === 'Escape' && list.opened && !typing && !event.target.closest('.stage')) {
    const row = list.opened;
    close();
    return focus(row);
  }
  const row = event.target.closest?.('.row h3 a') && list.byId.get(event.target.closest('.row').id);
  if (row) fromRow(event, row);
}

function fromSearch(event) {
  if (event.key === 'ArrowDown' || event.key === 'Enter') {
    event.preventDefault();
    focus(list.rows.find(r => r.shown));
  } else if (event.key === 'Escape') {
    event.target.value = '';
    filter();
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

export function onClick(event) {
  if (event.target.closest('#print')) return window.print();
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
