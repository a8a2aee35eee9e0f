// The dock: one player for the whole page, that is seen as long as there is sound. It lies
// outside of what marks, filters and opened tracks replace. What is remembered is in
// dock-state.js, the sound in dock-sound.js, what is seen in dock-view.js.

import { decibels } from './bars.js';
import { $, $$, dock, kept, keep, now, setNow, chosen, asked, own, other } from './dock-state.js';
import { wake, begin, ensure, hear, hush, placeNow, quiet, toggle, tune } from './dock-sound.js';
import { buttons, failed, notes, offer, say, settings, show, trouble } from './dock-view.js';

let opener = null; // what was pressed to play it

// play starts a track: at its loudest part, or at a place given as a share of its length.
export async function play(id, share = null, from = null) {
  if (now?.id === id && now.info && !now.info.unplayable) return share === null ? toggle() : seek(share * now.info.seconds);
  quiet();
  const mine = { id, info: null, side: own, voices: [null, null, null], buffers: new Map(), movesLU: 0, abort: new AbortController(), part: null, paused: false };
  setNow(mine);
  opener = from ?? document.activeElement;
  dock.hidden = false;
  trouble('');
  say('loading…');
  try {
    await wake();
    const info = await asked('/listen/' + id, mine.abort.signal).then(a => a.json());
    if (now !== mine) return;
    mine.info = info;
    show();
    if (info.unplayable) throw new Error(info.unplayable);
    await begin(share === null ? null : share * info.seconds);
  } catch (error) {
    if (now === mine) failed(error, own);
  }
}

// put takes any track of the library beside the one that plays, and is heard; where nothing
// plays, it plays itself.
export async function put(id, from) {
  if (!now?.info || now.id === id) return play(id, null, from);
  const mine = now;
  try {
    const guest = await asked('/listen/' + id, mine.abort.signal).then(a => a.json());
    if (now !== mine) return;
    if (guest.unplayable) throw new Error(guest.unplayable);
    const { id: number, name, lufs, headroom, seconds, longest_s, loudest_s, channels, beat } = guest;
    keep('guest', { id: number, name, label: name, lufs, headroom, seconds, longest_s, loudest_s, channels, beat });
    keep('beside', id);
    offer();
    await swap();
    await hear(other);
  } catch (error) {
    if (now === mine) failed(error, other);
  }
}

// hold holds the track against the one beside it: what differs is said, and where they are the
// same music they are laid on each other.
async function hold() {
  const mine = now, one = chosen();
  if (!mine?.info || !one) return;
  $('.note').textContent = 'Reading both…';
  try {
    const got = await asked(`/lay/${mine.id}/${one.id}`, mine.abort.signal).then(a => a.json());
    if (now !== mine) return;
    one.said = got.said;
    if (got.offset_s !== null) one.offset = got.offset_s;
    hush(other);
    if (mine.side === other) await hear(other);
    else if (kept.again && mine.part) await ensure(other);
  } catch (error) {
    if (now === mine) trouble('Not compared: ' + error.message);
  }
  if (now === mine) notes();
}

// stop ends playing and takes the dock away.
function stop() {
  const inside = dock.contains(document.activeElement);
  quiet();
  dock.hidden = true;
  buttons();
  if (inside && opener?.isConnected) opener.focus();
}

// seek goes to a place in seconds.
function seek(place) {
  if (!now?.info || now.info.unplayable) return;
  trouble('');
  begin(Math.max(0, Math.min(place, now.info.seconds - 0.05))).catch(error => failed(error, own));
}

// measure asks the server for it; a server that cannot, says how it is done.
async function measure(id) {
  const answer = await fetch('/scan', { method: 'POST', body: new URLSearchParams({ track: id }), headers: { Accept: 'text/plain' } }).catch(() => null);
  trouble(answer?.ok ? 'It is being measured again. Play it when that is done.' : `To measure it again: ${now?.info?.scan_again ?? 'dubgauge scan'}`);
}

async function choose(control) {
  const name = control.classList[0];
  const value = control.type === 'checkbox' ? control.checked : name === 'vol' || name === 'beside' ? Number(control.value) : control.value;
  keep(name === 'vol' ? 'volume' : name, value);
  if (name === 'vol') $('.db').textContent = decibels(value);
  if (!now?.info) return;
  if (name === 'again') return begin(placeNow()).catch(error => failed(error, own));
  if (name === 'beside') await swap();
  tune();
  notes();
}

// swap takes another track beside this one, and goes on hearing the same side.
async function swap() {
  trouble('');
  now.otherPlace = undefined;
  hush(other);
  tune();
  if (now.side === other) return hear(other);
  if (kept.again && now.part) ensure(other).catch(error => failed(error, other));
}

function onClick(event) {
  const button = event.target.closest('button, .course');
  if (!button) return;
  if (button.matches('.go')) toggle();
  else if (button.matches('.end')) stop();
  else if (button.matches('.differ')) hold();
  else if (button.matches('[data-side]')) hear(Number(button.dataset.side));
  else if (button.matches('[data-measure]')) measure(button.dataset.measure);
  else if (button.matches('.course')) seek(now?.info ? now.info.seconds * shareOf(event, button) : 0);
  else if (button.matches('.next')) {
    const select = $('.beside');
    select.selectedIndex = (select.selectedIndex + 1) % select.options.length;
    choose(select);
  } else if (button.matches('.more')) {
    keep('more', !kept.more);
    settings();
  }
}

const shareOf = (event, element) => {
  const box = element.getBoundingClientRect();
  return (event.clientX - box.left) / box.width;
};

function onKey(event) {
  if (event.key === 'Escape' && !event.target.closest('select')) {
    event.stopPropagation();
    return stop();
  }
  if (!event.target.matches('.course') || !now?.info) return;
  const to = { ArrowRight: placeNow() + 5, ArrowUp: placeNow() + 5, ArrowLeft: placeNow() - 5, ArrowDown: placeNow() - 5, PageUp: placeNow() + 30, PageDown: placeNow() - 30, Home: 0, End: now.info.seconds - 5 }[event.key];
  if (to === undefined) return;
  event.preventDefault();
  event.stopPropagation();
  seek(to);
}

// turn goes to the next side; it tells whether there is sound to turn.
export function turn() {
  if (!now?.info || dock.hidden) return false;
  const sides = $$('.turn button').filter(b => !b.hidden).map(b => Number(b.dataset.side));
  hear(sides[(sides.indexOf(now.side) + 1) % sides.length]);
  return true;
}

if (dock) {
  dock.addEventListener('click', onClick);
  dock.addEventListener('input', event => choose(event.target));
  dock.addEventListener('keydown', onKey);
  window.addEventListener('pagehide', stop);
  document.addEventListener('rows-laid', () => { if (now || document.querySelector('[data-play][aria-pressed=true]')) buttons(); });
  new ResizeObserver(() => document.documentElement.style.setProperty('--dock', dock.offsetHeight + 'px')).observe(dock);
  settings();
}
