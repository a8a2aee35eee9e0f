// The pictures: each dot is found by its place, which the picture carries.

import { $, $$ } from './dom.js';
import { list } from './rows.js';

const box = { width: 480, height: 176 };
const reach = 22; // how near the pointer must come, in pixels of the screen

const pointsOf = new WeakMap(); // by stage: what its points were read from, and these

// points are the dots of a picture, from left to right.
function points(stage) {
  if (pointsOf.get(stage)?.text !== stage.dataset.dots) pointsOf.set(stage, { text: stage.dataset.dots, found: readPoints(stage) });
  return pointsOf.get(stage).found;
}

function readPoints(stage) {
  const values = stage.dataset.dots.split(' ').map(Number), found = [];
  for (let i = 0; i + 2 < values.length; i += 3) found.push({ id: 't' + values[i], x: values[i + 1], y: values[i + 2] });
  return found.sort((a, b) => a.x - b.x || b.y - a.y);
}

// ring draws a ring about the dots of a row, or takes it away.
export function ring(which, row) {
  for (const figure of $$('.plot')) {
    const at = row && points($('.stage', figure)).find(p => p.id === row.id);
    const circle = $('.ring.' + which, figure);
    circle.setAttribute('cx', at ? at.x : -20);
    circle.setAttribute('cy', at ? at.y : -20);
    circle.classList.toggle('off', !at);
  }
}

function says(point) {
  const row = list.byId.get(point.id);
  return row ? `${row.name}, ${$('.v', row.element).textContent}` : '';
}

// plots makes the pictures answer; chosen is told which row's dot was.
export function plots(chosen) {
  for (const figure of $$('.plot')) plot(figure, $('.stage', figure), chosen);
  ring('sel', list.opened);
}

// plot makes one picture answer to pointer and keys. What its parts share: the
// points, and which of them is named.
function plot(figure, stage, chosen) {
  const dots = points(stage);
  if (!dots.length) return;
  const choose = point => point && list.byId.has(point.id) && chosen(list.byId.get(point.id));
  const picture = { figure, stage, dots, choose, at: -1 };
  slider(picture);
  stage.onpointermove = event => { const i = nearest(picture, event); if (i !== picture.at) name(picture, i); };
  stage.onpointerleave = () => { if (document.activeElement !== stage) name(picture, -1); };
  stage.onclick = event => choose(dots[nearest(picture, event)]);
  stage.onfocus = () => { if (picture.at < 0) name(picture, 0); };
  stage.onblur = () => name(picture, -1);
  stage.onkeydown = event => onPlotKey(picture, event);
}

// slider says what a picture is to those who do not see it.
function slider({ stage, dots }) {
  stage.tabIndex = 0;
  stage.setAttribute('role', 'slider');
  stage.setAttribute('aria-label', stage.dataset.name + ', a dot each: arrow keys name them, Enter opens');
  stage.setAttribute('aria-valuemin', 1);
  stage.setAttribute('aria-valuemax', dots.length);
  stage.setAttribute('aria-valuenow', 1);
  stage.setAttribute('aria-valuetext', says(dots[0]));
}

// name shows whose dot it is.
function name(picture, i) {
  const { figure, stage } = picture, point = picture.dots[i], tip = $('.tip', figure);
  picture.at = i;
  ring('hov', point ? { id: point.id } : null);
  tip.textContent = point ? says(point) : '';
  if (!point) return;
  const scale = stage.clientWidth / box.width;
  tip.style.left = Math.max(0, Math.min(point.x * scale - tip.offsetWidth / 2, stage.clientWidth - tip.offsetWidth)) + 'px';
  tip.style.top = point.y * scale - tip.offsetHeight - 14 + 'px';
  stage.setAttribute('aria-valuenow', i + 1);
  stage.setAttribute('aria-valuetext', says(point));
}

// nearest is the point within reach of the pointer, -1 for none.
function nearest({ stage, dots }, event) {
  const frame = stage.getBoundingClientRect();
  const scale = frame.width / box.width;
  let best = -1, distance = reach;
  dots.forEach((p, i) => {
    const d = Math.hypot(p.x * scale - (event.clientX - frame.left), p.y * scale - (event.clientY - frame.top));
    if (d < distance) [best, distance] = [i, d];
  });
  return best;
}

function onPlotKey(picture, event) {
  const { at, dots } = picture, last = dots.length - 1;
  const to = { ArrowRight: at + 1, ArrowUp: at + 1, ArrowLeft: at - 1, ArrowDown: at - 1, Home: 0, End: last, PageUp: at + 10, PageDown: at - 10 }[event.key];
  if (to !== undefined) {
    event.preventDefault();
    name(picture, Math.max(0, Math.min(last, to)));
  } else if (event.key === 'Enter') {
    event.preventDefault();
    picture.choose(dots[at]);
  } else if (event.key === 'Escape') {
    name(picture, -1);
  }
}
