// The sound of the dock: what is fetched, what goes round and in step with what, and what is
// heard. The graph is in graph.js, bars are counted in bars.js.

import { build, repeat, piece, overlap } from './graph.js';
import { partAt, beside, keepsStep } from './bars.js';
import { $, kept, now, setNow, chosen, asked, own, other, moved } from './dock-state.js';
import { say, press, notes, buttons, failed, follow } from './dock-view.js';

let context = null, mixer = null;

// wake has the browser make sound; it must come from a key or a click.
export async function wake() {
  context ??= new AudioContext();
  mixer ??= build(context);
  await context.resume();
}

// begin plays the track from a place, or from its loudest part.
export async function begin(place) {
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
export async function ensure(side) {
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

// back hears the track itself again.
export function back() {
  press(now.side = own);
  mixer.hear(own);
  playing();
}

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
  follow();
};

// toggle pauses, or goes on where it was.
export async function toggle() {
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
export function hush(only) {
  now?.voices.forEach((voice, side) => {
    if (!voice || only !== undefined && side !== only) return;
    for (const s of voice.sources) { s.onended = null; try { s.stop(); } catch { /* not yet begun */ } }
    voice.sources = [];
  });
}

// quiet ends all that sounds, and what is on its way.
export function quiet(forget = true) {
  if (!now) return;
  hush();
  now.round = {};
  now.paused = true;
  now.part = null;
  context?.suspend();
  if (!forget) return;
  now.abort.abort();
  setNow(null);
}

// tune sets levels and filters to what is chosen.
export function tune() {
  if (!mixer || !now?.info) return;
  const { info } = now, one = chosen();
  const sides = [info, one && { lufs: one.lufs, headroom: one.headroom }, info.moves ? { lufs: info.lufs + now.movesLU, headroom: info.moves_head, trim: (info.trim ?? 0) - now.movesLU } : null];
  mixer.match($('.match').value, sides);
  mixer.low(kept.low);
  mixer.image(kept.image);
  mixer.loud(kept.volume);
}

// placeNow is where in the track the playing is.
export function placeNow() {
  const voice = now?.voices[now.side === moved && !kept.again ? moved : own];
  if (!voice?.sources.length || now.over) return now?.place ?? 0;
  if (voice.part) return voice.part.from + phase(voice, context.currentTime);
  return Math.min(now.info.seconds, voice.offset + Math.max(0, context.currentTime - voice.at));
}
