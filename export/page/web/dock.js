// The dock: one player for the whole page, that is seen as long as there is sound. It lies
// outside of what marks, filters and opened tracks replace. The sound itself is made in
// graph.js, bars are counted in bars.js.

import { build, repeat, piece, overlap } from './graph.js';
import { partAt, beside, keepsStep, partWords, stepWords, clock, decibels } from './bars.js';

const dock = document.querySelector('#dock');
const $ = selector => dock.querySelector(selector);
const $$ = selector => [...dock.querySelectorAll(selector)];

// What is remembered as long as the window is open: the volume above all, so that the first
// play starts low and no other one jumps.
const kept = Object.assign({ volume: -30, match: 'equal', image: 'stereo', low: false, again: true, beside: 0, more: false }, stored());

function stored() {
  try {
    return JSON.parse(sessionStorage.getItem('dubgauge-dock')) ?? {};
  } catch {
    return {};
  }
}

function keep(name, value) {
  kept[name] = value;
  try {
    sessionStorage.setItem('dubgauge-dock', JSON.stringify(kept));
  } catch { /* it is remembered until the page is left */ }
}

let context = null, mixer = null;
let now = null; // what is played: one track at a time
let opener = null; // what was pressed to play it

const [own, other, moved] = [0, 1, 2]; // the sides

// play starts a track: at its loudest part, or at a place given as a share of its length.
export async function play(id, share = null, from = null) {
  if (now?.id === id && now.info && !now.info.unplayable) return share === null ? toggle() : seek(share * now.info.seconds);
  quiet();
  const mine = now = { id, info: null, side: own, voices: [null, null, null], buffers: new Map(), movesLU: 0, abort: new AbortController(), part: null, paused: false };
  opener = from ?? document.activeElement;
  dock.hidden = false;
  trouble('');
  say('loading…');
  try {
    context ??= new AudioContext();
    mixer ??= build(context);
    await context.resume();
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

async function asked(path, signal) {
  const answer = await fetch(path, { signal });
  if (!answer.ok) throw Object.assign(new Error((await answer.text()).trim()), { status: answer.status });
  return answer;
}

// failed says what went wrong with a side. Without the track itself there is nothing to play.
function failed(error, side) {
  if (error.name === 'AbortError') return;
  const what = { [own]: 'Not played', [other]: 'The one beside it is not played', [moved]: 'The moves are not played' }[side];
  trouble(`${what}: ${error.message.replace(/\.?$/, '.')}`, error.status === 409 ? (side === other ? chosen().id : now.id) : 0);
  if (side === own) {
    quiet(false);
    say('stopped');
  } else {
    press(now.side = own);
    mixer.hear(own);
    say('playing');
  }
  buttons();
}

// begin plays the track from a place, or from its loudest part.
async function begin(place) {
  const mine = now, { info } = mine;
  const inside = mine.part && place !== null && place >= mine.part.from && place < mine.part.from + mine.part.seconds;
  if (!(inside && kept.again)) mine.part = kept.again ? partAt(info, place ?? info.loudest_s, info.segment_s, place === null) : null;
  mine.place = place ?? mine.part?.from ?? info.loudest_s;
  mine.round = {}; // what was started before counts no more
  hush();
  tune();
  notes();
  await resume();
  if (!kept.again) { // a place in the track is one of the track, with the moves or without
    if (mine.side === other) press(mine.side = own);
    return runOn(mine.side, mine.place);
  }
  const heard = mine.side;
  mixer.hear(-1);
  await ensure(own);
  if (now !== mine) return;
  await hear(heard);
  if (chosen() && heard !== other) ensure(other).catch(error => { if (now === mine) failed(error, other); });
}

// The parts that are repeated, one a side.
function partOf(side) {
  return side === other ? beside(now.info, chosen(), now.part, now.info.segment_s) : now.part;
}

// locked tells that a side goes round with the track, so that switching keeps the place.
const locked = side => side !== other || keepsStep(now.info, chosen(), now.part);

// ensure loads a side and lets it go round; it is not heard by that.
async function ensure(side) {
  const mine = now, { round } = mine, part = partOf(side);
  if (mine.voices[side]?.sources.length) return;
  const buffer = await fetched(side, part.from, part.seconds);
  if (now !== mine || mine.round !== round || mine.voices[side]?.sources.length) return;
  start(side, buffer, part);
  if (side === moved) tune();
}

// start lets a side go round: the track from the place, others in step with it.
function start(side, buffer, part) {
  const at = context.currentTime + 0.05;
  const first = now.voices[own];
  const offset = side === own ? now.place - part.from : locked(side) && first ? phase(first, at) : 0;
  hush(side);
  now.voices[side] = { at, offset, part, sources: [repeat(context, buffer, part.seconds, mixer.into(side), at, offset)] };
  if (side === own) playing();
}

// phase is how far into its part a voice is at a time of the context.
const phase = (voice, at) => {
  const n = voice.part.seconds;
  return (((at - voice.at + voice.offset) % n) + n) % n;
};

// hear switches to a side.
export async function hear(side) {
  const mine = now;
  if (!mine?.info || side === other && !chosen() || side === moved && !mine.info.moves) return;
  leave(mine.side);
  mine.side = side;
  press(side);
  try {
    if (!kept.again) return await runOn(side, side === other ? mine.otherPlace ?? chosen().loudest_s : mine.place);
    if (!mine.voices[side]?.sources.length) say('loading…');
    else if (!locked(side)) await restart(side);
    await ensure(side);
    if (now !== mine || mine.side !== side) return;
    mixer.hear(side);
    playing();
  } catch (error) {
    if (now === mine && mine.side === side) failed(error, side);
  }
  notes();
}

// leave remembers where a side is that is heard no more, where each runs on by itself.
function leave(side) {
  const voice = now.voices[side];
  if (!voice || voice.part) return;
  const place = voice.offset + (voice.at ? Math.max(0, context.currentTime - voice.at) : 0);
  if (side === other) now.otherPlace = place;
  else now.place = place;
}

const playing = () => say(now.paused ? 'paused' : 'playing');

// restart plays a side that is not in time from its own bar line.
async function restart(side) {
  const part = partOf(side);
  start(side, await fetched(side, part.from, part.seconds), part);
}

// fetched gives a part of a side, decoded.
function fetched(side, from, seconds) {
  const mine = now;
  const id = side === other ? chosen().id : mine.id;
  const path = `/audio/${id}?from=${from.toFixed(6)}&len=${seconds.toFixed(6)}${side === moved ? '&moves' : ''}`;
  if (!mine.buffers.has(path)) {
    if (mine.buffers.size >= mostBuffers) mine.buffers.delete(mine.buffers.keys().next().value);
    const got = asked(path, mine.abort.signal).then(async answer => {
      if (side === moved) mine.movesLU = Number(answer.headers.get('Dubgauge-Moves-LU'));
      return context.decodeAudioData(await answer.arrayBuffer());
    });
    got.catch(() => mine.buffers.delete(path));
    mine.buffers.set(path, got);
  }
  return mine.buffers.get(path);
}

const mostBuffers = 4; // of some 15 MB

// runOn plays one side from a place to its end, piece by piece.
async function runOn(side, place) {
  const mine = now, round = mine.round = {};
  hush();
  say('loading…');
  const track = side === other ? chosen() : mine.info;
  let at = 0, from = Math.min(place, track.seconds - 0.1), first = true;
  mine.voices[side] = { at: 0, offset: from, part: null, sources: [] };
  for (;;) {
    const rest = track.seconds - from, length = Math.min(pieceSeconds + overlap, rest);
    const buffer = await fetched(side, from, length);
    if (now !== mine || mine.round !== round) return;
    if (first) {
      at = context.currentTime + 0.05;
      Object.assign(mine.voices[side], { at });
      tune();
      mixer.hear(side);
      playing();
    }
    const last = rest <= pieceSeconds + overlap;
    const source = piece(context, buffer, mixer.into(side), Math.max(at, context.currentTime), 0, { first, last });
    mine.voices[side].sources.push(source);
    source.onended = () => { if (now === mine && mine.round === round && last) ended(); };
    if (last) return;
    at += pieceSeconds;
    from += pieceSeconds;
    first = false;
    await until(at - 8, mine, round);
    if (now !== mine || mine.round !== round) return;
  }
}

const pieceSeconds = 20;

// until waits until the context's clock says so; it stands still while paused.
const until = (time, mine, round) => new Promise(done => {
  const look = () => context.currentTime >= time || now !== mine || mine.round !== round ? done() : setTimeout(look, 250);
  look();
});

function ended() {
  context.suspend();
  now.paused = true;
  now.place = 0;
  now.over = true;
  say('at its end');
  buttons();
}

const resume = async () => {
  now.paused = now.over = false;
  await context.resume();
  buttons();
  if (!following) requestAnimationFrame(follow);
  following = true;
};

let following = false;

// toggle pauses, or goes on where it was.
async function toggle() {
  if (!now?.info) return;
  if (now.over || !now.voices.some(v => v?.sources.length)) return begin(now.over ? 0 : now.place ?? null).catch(error => failed(error, own));
  if (!now.paused) {
    now.paused = true;
    await context.suspend();
    say('paused');
    return buttons();
  }
  await resume();
  say('playing');
}

// hush stops the sources of one side, or of all.
function hush(only) {
  now?.voices.forEach((voice, side) => {
    if (!voice || only !== undefined && side !== only) return;
    for (const s of voice.sources) { s.onended = null; try { s.stop(); } catch { /* not yet begun */ } }
    voice.sources = [];
  });
}

// quiet ends all that sounds, and what is on its way.
function quiet(forget = true) {
  if (!now) return;
  hush();
  now.round = {};
  now.paused = true;
  now.part = null;
  context?.suspend();
  if (!forget) return;
  now.abort.abort();
  now = null;
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

const chosen = () => now?.info?.beside?.find(s => s.id === Number($('.beside').value)) ?? null;

// tune sets levels and filters to what is chosen.
function tune() {
  if (!mixer || !now?.info) return;
  const { info } = now, one = chosen();
  const sides = [info, one && { lufs: one.lufs, headroom: one.headroom }, info.moves ? { lufs: info.lufs + now.movesLU, headroom: info.moves_head, trim: (info.trim ?? 0) - now.movesLU } : null];
  mixer.match($('.match').value, sides);
  mixer.low(kept.low);
  mixer.image(kept.image);
  mixer.loud(kept.volume);
}

// placeNow is where in the track the playing is.
function placeNow() {
  const voice = now?.voices[now.side === moved && !kept.again ? moved : own];
  if (!voice?.sources.length || now.over) return now?.place ?? 0;
  if (voice.part) return voice.part.from + phase(voice, context.currentTime);
  return Math.min(now.info.seconds, voice.offset + Math.max(0, context.currentTime - voice.at));
}

// What is seen.

const say = words => { $('.state').textContent = words; };

function trouble(words, changed = 0) {
  const line = $('.trouble');
  line.textContent = words;
  if (!changed) return;
  const again = Object.assign(document.createElement('button'), { type: 'button', textContent: 'Measure it again' });
  again.dataset.measure = changed;
  line.append(' ', again);
}

// measure asks the server for it; a server that cannot, says how it is done.
async function measure(id) {
  const answer = await fetch('/scan', { method: 'POST', body: new URLSearchParams({ track: id }), headers: { Accept: 'text/plain' } }).catch(() => null);
  trouble(answer?.ok ? 'It is being measured again. Play it when that is done.' : `To measure it again: ${now?.info?.scan_again ?? 'dubgauge scan'}`);
}

function press(side) {
  for (const b of $$('.turn button')) b.setAttribute('aria-pressed', String(Number(b.dataset.side) === side));
}

// show fills the dock with a track.
function show() {
  const { info } = now;
  Object.assign($('.who'), { textContent: info.name, href: '/track/' + info.id });
  const options = (info.beside ?? []).map(s => Object.assign(document.createElement('option'), { value: s.id, textContent: s.label }));
  $('.beside').replaceChildren(...options);
  if (options.some(o => Number(o.value) === kept.beside)) $('.beside').value = kept.beside;
  $('[data-side="1"]').hidden = $('.with').hidden = $('.next').hidden = !options.length;
  $('[data-side="2"]').hidden = !info.moves;
  $('.match').options[2].disabled = info.trim === null;
  press(own);
  draw(info);
  settings();
  buttons();
}

function settings() {
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
  $('.line').setAttribute('aria-valuemax', Math.floor(info.seconds ?? 0));
  $('.all').textContent = clock(info.seconds ?? 0);
}

function notes() {
  const { info, part } = now, one = chosen(), loop = $('.loop');
  const words = [];
  if (part) words.push(partWords(info, part) + '.');
  if (part && one) words.push('Beside it: ' + stepWords(info, one, part));
  if (info.moves) words.push('The moves: ' + info.moves.join('; ') + '.');
  if (kept.image === 'sides' && info.channels === 1) words.push('It has one channel, so there are no sides to hear.');
  $('.note').textContent = words.join(' ');
  loop.setAttribute('x', part ? part.from / info.seconds * 1000 : 0);
  loop.setAttribute('width', part ? part.seconds / info.seconds * 1000 : 0);
}

// buttons says on all that plays what is played.
function buttons() {
  const on = now && !now.paused;
  $('.go').textContent = on ? 'Pause' : 'Play';
  for (const b of document.querySelectorAll('[data-play]')) {
    const mine = String(Number(b.dataset.play) === now?.id);
    if (b.getAttribute('aria-pressed') !== mine) b.setAttribute('aria-pressed', mine);
  }
}

// follow moves the playhead, here and in the chart of the open track.
function follow() {
  following = Boolean(now?.info) && !now.paused;
  if (!following) return;
  const place = placeNow(), share = place / now.info.seconds, line = $('.line');
  $('.head').setAttribute('transform', `translate(${(share * 1000).toFixed(2)} 0)`);
  const second = String(Math.floor(place));
  if (line.getAttribute('aria-valuenow') !== second) {
    line.setAttribute('aria-valuenow', second);
    line.setAttribute('aria-valuetext', `${clock(place)} of ${clock(now.info.seconds)}`);
    $('.now').textContent = clock(place);
    buttons(); // rows may have been replaced
  }
  document.dispatchEvent(new CustomEvent('playhead', { detail: { id: now.id, share } }));
  requestAnimationFrame(follow);
}

// What is pressed.

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
  const button = event.target.closest('button, .line');
  if (!button) return;
  if (button.matches('.go')) toggle();
  else if (button.matches('.end')) stop();
  else if (button.matches('[data-side]')) hear(Number(button.dataset.side));
  else if (button.matches('[data-measure]')) measure(button.dataset.measure);
  else if (button.matches('.line')) seek(now?.info ? now.info.seconds * shareOf(event, button) : 0);
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
  if (!event.target.matches('.line') || !now?.info) return;
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
  settings();
}
