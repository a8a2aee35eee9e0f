// What starts listening: every element with data-play or data-beside, the loudness over time of
// the open track, and the key that switches sides. The player itself is the dock.

import { play, put, turn } from './dock.js';
import { singleKeys } from './list.js';

// The chart of loudness over time, in its own units: see pen.go.
const [width, left, right] = [360, 34, 354];

function onClick(event) {
  const starter = event.target.closest('[data-play]');
  if (starter) {
    event.preventDefault();
    return play(Number(starter.dataset.play), null, starter);
  }
  const guest = event.target.closest('[data-beside]');
  if (guest) return put(Number(guest.dataset.beside), guest);
  const chart = event.target.closest('.chart.time');
  const id = chart && Number(chart.closest('.detail').querySelector('.listen')?.dataset.track);
  if (!id) return;
  const box = chart.getBoundingClientRect();
  const x = (event.clientX - box.left) * width / box.width;
  play(id, Math.max(0, Math.min(1, (x - left) / (right - left))), chart);
}

// onHead draws the playhead into the chart of the track that plays.
function onHead({ detail: { id, share } }) {
  for (const chart of document.querySelectorAll('.chart.time')) {
    const mine = Number(chart.closest('.detail')?.querySelector('.listen')?.dataset.track) === id;
    let head = chart.querySelector('.head');
    if (!mine) {
      head?.remove();
      continue;
    }
    if (!head) {
      head = document.createElementNS('http://www.w3.org/2000/svg', 'path');
      head.setAttribute('class', 'head');
      head.setAttribute('d', 'M0 26v136');
      chart.append(head);
    }
    head.setAttribute('transform', `translate(${(left + share * (right - left)).toFixed(1)} 0)`);
  }
}

document.addEventListener('click', onClick);
document.addEventListener('playhead', onHead);
document.addEventListener('keydown', event => {
  if (event.key !== 'x' || event.ctrlKey || event.metaKey || event.altKey || !(singleKeys() ?? true)) return;
  if (event.target.closest?.('input[type=search], select, textarea')) return;
  if (turn()) event.preventDefault();
});
