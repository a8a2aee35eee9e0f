// Listening: fetches the segments of a track and of a reference, and works the
// controls of the open track. The sound itself is made in graph.js.

import { build } from './graph.js';
import { singleKeys } from './list.js';

const $ = (selector, root) => root.querySelector(selector);
const $$ = (selector, root) => [...root.querySelectorAll(selector)];

let context = null;
let player = null; // what is playing: one at a time

async function fetchSegment(id, signal) {
  const answer = await fetch('/audio/' + id, { signal });
  if (!answer.ok) throw new Error(await answer.text());
  return context.decodeAudioData(await answer.arrayBuffer());
}

const sideOf = data => ({ id: data.track ?? data.id, lufs: Number(data.lufs), headroom: Number(data.headroom), trim: Number(data.trim || 0) });

function chosen(panel) {
  const option = $('.beside', panel)?.selectedOptions[0];
  return option ? sideOf({ id: option.value, ...option.dataset }) : null;
}

const say = (panel, words) => { $('.state', panel).textContent = words; };

function settings(panel, graph) {
  graph.match($('[name=match]:checked', panel).value);
  graph.low($('.low', panel).checked);
  graph.mono($('.mono', panel).checked);
  graph.loud(Number($('.vol', panel).value));
  graph.hear(heard(panel));
}

const heard = panel => Number($('.side[aria-pressed=true]', panel).dataset.side);

function press(panel, side) {
  for (const b of $$('.side', panel)) b.setAttribute('aria-pressed', String(Number(b.dataset.side) === side));
  if (player?.panel === panel) player.graph?.hear(side);
}

async function play(panel) {
  stop();
  const mine = { panel, graph: null, abort: new AbortController() };
  player = mine;
  $('.play', panel).textContent = 'Stop';
  say(panel, 'loading…');
  try {
    context ??= new AudioContext();
    await context.resume();
    const sides = [sideOf(panel.dataset), chosen(panel)];
    const buffers = await Promise.all(sides.map(s => s && fetchSegment(s.id, mine.abort.signal)));
    if (player !== mine) return;
    mine.graph = build(context, buffers, sides);
    settings(panel, mine.graph);
    mine.graph.start(context.currentTime + 0.05);
    say(panel, 'playing');
  } catch (error) {
    if (player !== mine || error.name === 'AbortError') return;
    stop();
    say(panel, 'cannot play: ' + error.message);
  }
}

function stop() {
  if (!player) return;
  const { panel, graph, abort } = player;
  player = null;
  abort.abort();
  graph?.stop();
  context?.suspend();
  $('.play', panel).textContent = 'Play';
  say(panel, '');
}

function onClick(event) {
  const panel = event.target.closest('.listen');
  if (!panel) return;
  if (event.target.closest('.play')) {
    player?.panel === panel ? stop() : play(panel);
  } else if (event.target.closest('.side')) {
    press(panel, Number(event.target.closest('.side').dataset.side));
  } else if (event.target.closest('.next')) {
    const select = $('.beside', panel);
    select.selectedIndex = (select.selectedIndex + 1) % select.options.length;
    changed(panel, select);
  }
}

function changed(panel, control) {
  if (control.matches('.vol')) $('.db', panel).textContent = (control.value < 0 ? '\u2212' : '') + Math.abs(control.value) + ' dB';
  if (player?.panel !== panel) return;
  if (control.matches('.beside')) play(panel);
  else if (player.graph) settings(panel, player.graph);
}

document.addEventListener('click', onClick);
document.addEventListener('input', event => {
  const panel = event.target.closest('.listen');
  if (panel) changed(panel, event.target);
});
document.addEventListener('keydown', event => {
  if (event.key !== 'x' || event.ctrlKey || event.metaKey || event.altKey || !player || !(singleKeys() ?? true)) return;
  if (event.target.closest('input[type=search], select')) return;
  event.preventDefault();
  if ($$('.side', player.panel).length > 1) press(player.panel, 1 - heard(player.panel));
});
document.addEventListener('track-close', stop);
window.addEventListener('pagehide', stop);
