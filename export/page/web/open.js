// A track in full below its line.

import { $, $$, live } from './dom.js';
import { list, makeCurrent } from './rows.js';
import { reachRow } from './find.js';
import { ring } from './picture.js';

export function close() {
  const row = list.opened;
  if (!row) return;
  list.opened = null;
  row.element.dispatchEvent(new CustomEvent('track-close', { bubbles: true }));
  row.element.classList.remove('open');
  row.link.setAttribute('aria-expanded', 'false');
  $(':scope > .detail', row.element)?.remove();
  ring('sel', null);
}

// open shows a track in full.
export async function open(row) {
  close();
  list.opened = row;
  makeCurrent(row);
  reachRow(row);
  row.element.classList.add('open');
  row.link.setAttribute('aria-expanded', 'true');
  ring('sel', row);
  history.replaceState(null, '', '#' + row.id);
  const detail = document.createElement('div');
  detail.className = 'detail';
  detail.id = 'd' + row.id;
  row.element.append(detail);
  try {
    detail.append(...await parts(row));
  } catch (error) {
    detail.textContent = `This track could not be shown: ${error.message}. Is dubgauge still running?`;
    return;
  }
  if (list.opened === row) row.element.dispatchEvent(new CustomEvent('track-open', { bubbles: true }));
}

// parts are what is shown of a track, from the page itself or from the server. Both are
// written by the same template, which escapes every tag.
export async function parts(row) {
  if (live) return fetched(row);
  const own = $('noscript', row.element);
  if (!own) return ['It is ready. The details of ready tracks are left out of so large a page.'];
  return [...$('.detail', parse(own.textContent)).childNodes];
}

async function fetched(row) {
  const answer = await fetch(row.link.href, { headers: { Accept: 'text/html' } });
  if (!answer.ok) throw new Error(await answer.text());
  const page = parse(await answer.text());
  for (const group of $$('.symbols [id^=b]', page)) { // the band of its references
    document.getElementById(group.id)?.remove();
    $('.symbols defs').append(document.adoptNode(group));
  }
  return [...$('#detail', page).childNodes];
}

const parse = text => new DOMParser().parseFromString(text, 'text/html');
