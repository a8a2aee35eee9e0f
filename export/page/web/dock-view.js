// What is seen of the dock.

import { partWords, stepWords, clock, decibels } from './bars.js';
import { $, $$, kept, now, chosen, own, other, moved } from './dock-state.js';
import { placeNow, quiet, back } from './dock-sound.js';

export const say = words => { $('.state').textContent = words; };

export function trouble(words, changed = 0) {
  const line = $('.trouble');
  line.textContent = words;
  if (!changed) return;
  const again = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Measure it again' });
  again.dataset.measure = changed;
  line.append(' ', again);
}

// failed says what went wrong with a side. Without the track itself there is nothing to play.
export function failed(error, side) {
  if (error.name === 'AbortError') return;
  const what = { [own]: 'Not played', [other]: 'The one beside it is not played', [moved]: 'The moves are not played' }[side];
  trouble(`${what}: ${error.message.replace(/\.?$/, '.')}`, error.status === 409 ? (side === other ? chosen().id : now.id) : 0);
  if (side === own) {
    quiet(false);
    say('stopped');
  } else {
    back();
  }
  buttons();
}

export function press(side) {
  for (const b of $$('.turn button')) b.setAttribute('aria-pressed', String(Number(b.dataset.side) === side));
}

// show fills the dock with a track.
export function show() {
  const { info } = now;
  Object.assign($('.who'), { textContent: info.name, href: '/track/' + info.id });
  offer();
  $('[data-side="2"]').hidden = !info.moves;
  $('.match').options[2].disabled = info.trim === null;
  press(own);
  draw(info);
  settings();
  buttons();
}

// offer lists what can be heard beside the track: its versions and references, and what was put
// there.
export function offer() {
  const { info } = now, { guest } = kept;
  info.beside ??= [];
  if (guest && guest.id !== info.id && !info.beside.some(s => s.id === guest.id)) info.beside.unshift({ ...guest });
  const options = info.beside.map(s => Object.assign(document.createElement('option'), { value: s.id, textContent: s.label }));
  $('.beside').replaceChildren(...options);
  const again = options.some(o => Number(o.value) === kept.beside) ? kept.beside : info.beside.find(s => s.id !== guest?.id)?.id ?? guest?.id;
  if (options.length) $('.beside').value = again;
  for (const one of ['[data-side="1"]', '.with', '.next', '.differ']) $(one).hidden = !options.length;
}

export function settings() {
  $('.more').setAttribute('aria-expanded', String(kept.more));
  $('.set').hidden = !kept.more;
  $('.vol').value = kept.volume;
  $('.db').textContent = decibels(kept.volume);
  $('.match').value = $('.match').querySelector(`[value=${kept.match}]`)?.disabled ? 'equal' : kept.match;
  $('.image').value = kept.image;
  $('.low').checked = kept.low;
  $('.again').checked = kept.again;
}

const low = -30, high = 0; // LUFS, the ends of the drawn levels

// draw shows the loudness over time as a plain line.
function draw(info) {
  const line = info.timeline ?? [], n = line.length;
  const y = v => (40 * (high - Math.max(low, Math.min(high, v ?? low))) / (high - low)).toFixed(1);
  $('.level').setAttribute('d', n ? 'M' + line.map((v, i) => `${((i + 0.5) * info.step_s / info.seconds * 1000).toFixed(1)} ${y(v)}`).join('L') : '');
  $('.course').setAttribute('aria-valuemax', Math.floor(info.seconds ?? 0));
  $('.all').textContent = clock(info.seconds ?? 0);
}

export function notes() {
  const { info, part } = now, one = chosen(), loop = $('.loop');
  const words = [];
  if (part) words.push(partWords(info, part) + '.');
  if (part && one) words.push('Beside it: ' + stepWords(info, one, part));
  if (one?.said) words.push('A is this track, B the one beside it: ' + one.said.join(' '));
  if (info.moves) words.push('The moves: ' + info.moves.join('; ') + '.');
  if (kept.image === 'sides' && info.channels === 1) words.push('It has one channel, so there are no sides to hear.');
  $('.note').textContent = words.join(' ');
  $('[data-side="1"]').textContent = one?.version ? 'Other version' : one && one.id === kept.guest?.id ? 'The other' : 'Reference';
  loop.setAttribute('x', part ? part.from / info.seconds * 1000 : 0);
  loop.setAttribute('width', part ? part.seconds / info.seconds * 1000 : 0);
}

// buttons says on all that plays what is played.
export function buttons() {
  const on = now && !now.paused;
  $('.go').textContent = on ? 'Pause' : 'Play';
  for (const b of document.querySelectorAll('[data-play]')) {
    const mine = String(Number(b.dataset.play) === now?.id);
    if (b.getAttribute('aria-pressed') !== mine) b.setAttribute('aria-pressed', mine);
  }
}

let following = false;

// follow moves the playhead, here and in the chart of the open track, as long as there is sound.
export function follow() {
  if (following) return;
  following = true;
  requestAnimationFrame(move);
}

function move() {
  following = Boolean(now?.info) && !now.paused;
  if (!following) return;
  const place = placeNow(), share = place / now.info.seconds, line = $('.course');
  $('.head').setAttribute('transform', `translate(${(share * 1000).toFixed(2)} 0)`);
  const second = String(Math.floor(place));
  if (line.getAttribute('aria-valuenow') !== second) {
    line.setAttribute('aria-valuenow', second);
    line.setAttribute('aria-valuetext', `${clock(place)} of ${clock(now.info.seconds)}`);
    $('.now').textContent = clock(place);
    buttons(); // rows may have been replaced
  }
  document.dispatchEvent(new CustomEvent('playhead', { detail: { id: now.id, share } }));
  requestAnimationFrame(move);
}
