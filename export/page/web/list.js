// The list and the pictures: filter, sort, keyboard, opening a track. What is
// shown comes from the server; without this script everything can still be read.
// Nothing here talks to the network but the fetching of a track's own page when
// the page is served live.

const $ = (selector, root = document) => root.querySelector(selector);
const $$ = (selector, root = document) => [...root.querySelectorAll(selector)];
const live = document.body.hasAttribute('data-live');
const verdicts = ['unreadable', 'hold-back', 'check', 'ready', 'ignored'];

let rows = []; // in the order of the page, hidden ones too
let byId = new Map();
let opened = null; // the row that is open
let current = null; // the row that Tab leads to

const number = text => text === undefined || text === '' ? NaN : Number(text.replace('\u2212', '-'));

// index reads the list from the page.
export function index() {
  rows = $$('#list > .row').map((element, place) => {
    const d = element.dataset;
    const link = $('h3 a', element);
    link.tabIndex = -1;
    link.setAttribute('aria-expanded', 'false');
    return {
      element, link, place, id: element.id, shown: true, status: $('.i b', element).textContent,
      verdict: verdicts.findIndex(v => element.classList.contains(v)),
      name: link.textContent, past: number(d.p), mismatch: number(d.m), low: number(d.l), sub: number(d.u), tempo: number($('.bpm', element)?.textContent),
      levelAt: d.x, lowAt: d.y, text: null, hidden: false,
    };
  });
  byId = new Map(rows.map(r => [r.id, r]));
  opened = null;
  makeCurrent(rows[0]);
  plots();
}

function text(row) {
  row.text ??= (row.name + ' ' + $('.v', row.element).textContent + ' ' + $('cite', row.element).textContent).toLowerCase();
  return row.text;
}

// A long list is laid out in portions, so that filtering stays quick: the next
// one when the end comes into view, all for printing.
const portion = 400;
let limit = portion;

function lay() {
  let n = 0;
  for (const row of rows) {
    const hide = !row.shown || n++ >= limit;
    if (hide !== row.hidden) {
      row.hidden = hide;
      row.element.hidden = hide;
    }
  }
  const more = $('#more');
  if (more) more.hidden = n <= limit;
}

// sheets puts a heading before the first row of each printed page: a fixed count
// of rows, as in the style sheet, of those that are shown.
function sheets() {
  const list = $('#list');
  const heading = $('.sheet', list);
  if (!heading) return;
  for (const old of $$('.sheet', list)) old.remove();
  const shown = rows.filter(r => r.shown);
  const [first, rest] = [Number(list.dataset.first), Number(list.dataset.rest)];
  const of = 1 + Math.ceil(Math.max(0, shown.length - first) / rest);
  for (let page = 1, i = 0; i < shown.length; i = first + rest * (page++ - 1)) {
    const copy = heading.cloneNode(true);
    copy.firstElementChild.textContent = `page ${page} of ${of}`;
    shown[i].element.before(copy);
  }
  if (!shown.length) list.prepend(heading);
}

// reach lays out the list as far as a row.
function reachRow(row) {
  if (!row.hidden || !row.shown) return;
  limit = Infinity;
  lay();
}

// filter hides what does not match the form.
export function filter() {
  const words = $('#q').value.toLowerCase().split(/\s+/).filter(Boolean);
  const verdict = $('#verdict').value;
  const status = $('#status').value;
  const started = performance.now();
  let n = 0;
  for (const row of rows) {
    const name = verdicts[row.verdict];
    const fits = verdict === 'out' ? row.verdict < 3 : !verdict || verdict === name;
    row.shown = fits && (!status || row.status === status) && words.every(w => text(row).includes(w));
    if (row.shown) n++;
  }
  limit = portion;
  lay();
  if (current && !current.shown) makeCurrent(rows.find(r => r.shown));
  const shown = $('#shown');
  if (shown) shown.textContent = `${n} of ${rows.length} tracks`;
  performance.measure('filter', { start: started });
}

// Numbers that do not exist come last, whatever the order.
const most = (a, b) => compare(-Math.abs(a), -Math.abs(b));
const compare = (a, b) => isNaN(a) ? (isNaN(b) ? 0 : 1) : isNaN(b) ? -1 : a - b;
const orders = {
  verdict: (a, b) => a.verdict - b.verdict || most(a.past, b.past) || most(a.mismatch, b.mismatch),
  mismatch: (a, b) => most(a.mismatch, b.mismatch),
  low: (a, b) => most(a.low, b.low),
  sub: (a, b) => most(a.sub, b.sub),
  name: (a, b) => a.name.localeCompare(b.name),
  tempo: (a, b) => compare(a.tempo, b.tempo),
};
const orderNames = { verdict: 'worst first', mismatch: 'largest level mismatch first', low: 'low end furthest off first', sub: 'sub furthest off first', name: 'by name', tempo: 'slowest first' };

export function sort() {
  const key = $('#sort').value;
  const list = $('#list');
  if (!list) return;
  for (const row of rows) row.path ??= $('cite', row.element).textContent;
  rows.sort((a, b) => orders[key](a, b) || (a.path < b.path ? -1 : a.path > b.path ? 1 : a.place - b.place));
  list.append(...rows.map(r => r.element));
  lay();
  $('#tracks-title').textContent = 'Tracks, ' + orderNames[key];
}

function makeCurrent(row) {
  if (current) current.link.tabIndex = -1;
  current = row || null;
  if (current) current.link.tabIndex = 0;
}

function focus(row) {
  if (!row) return;
  makeCurrent(row);
  reachRow(row);
  row.link.focus();
  row.element.scrollIntoView({ block: 'nearest' });
}

// step goes to the next shown row in a direction.
function step(row, by) {
  for (let i = rows.indexOf(row) + by; i >= 0 && i < rows.length; i += by) {
    if (rows[i].shown) return rows[i];
  }
  return null;
}

export function close() {
  if (!opened) return;
  const row = opened;
  opened = null;
  row.element.dispatchEvent(new CustomEvent('track-close', { bubbles: true }));
  row.element.classList.remove('open');
  row.link.setAttribute('aria-expanded', 'false');
  $(':scope > .detail', row.element)?.remove();
  ring('sel', null);
}

// open shows a track in full below its line.
export async function open(row) {
  close();
  opened = row;
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
    await fill(detail, row);
  } catch (error) {
    detail.textContent = `This track could not be shown: ${error.message}. Is dubgauge still running?`;
    return;
  }
  if (opened === row) row.element.dispatchEvent(new CustomEvent('track-open', { bubbles: true }));
}

// fill takes a track from the page itself, or from the server. Both are written
// by the same template, which escapes every tag.
async function fill(detail, row) {
  if (!live) {
    const own = $('noscript', row.element);
    if (!own) {
      detail.textContent = 'It is ready. The details of ready tracks are left out of so large a page.';
      return;
    }
    const parsed = new DOMParser().parseFromString(own.textContent, 'text/html');
    detail.append(...$('.detail', parsed).childNodes);
    return;
  }
  const answer = await fetch(row.link.href, { headers: { Accept: 'text/html' } });
  if (!answer.ok) throw new Error(await answer.text());
  const parsed = new DOMParser().parseFromString(await answer.text(), 'text/html');
  for (const group of $$('.symbols [id^=b]', parsed)) { // the band of its references
    document.getElementById(group.id)?.remove();
    $('.symbols defs').append(document.adoptNode(group));
  }
  detail.append(...$('#detail', parsed).childNodes);
}

export function reopen(id) {
  const row = byId.get(id);
  if (row) return open(row);
}

export const openId = () => opened?.id;

// The pictures: each dot is found by its place, which the rows carry.

const box = { width: 480, height: 176 };
const reach = 22; // how near the pointer must come, in pixels of the screen

function points(plot) {
  const at = plot === 'level' ? 'levelAt' : 'lowAt';
  return rows.filter(r => r[at]).map(row => {
    const [x, y] = row[at].split(' ').map(Number);
    return { row, x, y };
  }).sort((a, b) => a.x - b.x || b.y - a.y);
}

function ring(which, row) {
  for (const figure of $$('.plot')) {
    const at = row && row[figure.dataset.plot === 'level' ? 'levelAt' : 'lowAt'];
    const [x, y] = at ? at.split(' ') : [-20, -20];
    const circle = $('.ring.' + which, figure);
    circle.setAttribute('cx', x);
    circle.classList.toggle('off', !at);
    circle.setAttribute('cy', y);
  }
}

const says = row => `${row.name}, ${$('.v', row.element).textContent}`;

function plots() {
  for (const figure of $$('.plot')) plot(figure, $('.stage', figure));
}

// plot makes one picture answer to pointer and keys. What its parts share: the
// points, and which of them is named.
function plot(figure, stage) {
  const list = points(figure.dataset.plot);
  if (!list.length) return;
  const picture = { figure, stage, list, at: -1 };
  slider(picture);
  stage.onpointermove = event => { const i = nearest(picture, event); if (i !== picture.at) name(picture, i); };
  stage.onpointerleave = () => { if (document.activeElement !== stage) name(picture, -1); };
  stage.onclick = event => choose(list[nearest(picture, event)]);
  stage.onfocus = () => { if (picture.at < 0) name(picture, 0); };
  stage.onblur = () => name(picture, -1);
  stage.onkeydown = event => onPlotKey(picture, event);
}

// slider says what a picture is to those who do not see it.
function slider({ stage, list }) {
  stage.tabIndex = 0;
  stage.setAttribute('role', 'slider');
  stage.setAttribute('aria-label', stage.dataset.name + ', a dot each: arrow keys name them, Enter opens');
  stage.setAttribute('aria-valuemin', 1);
  stage.setAttribute('aria-valuemax', list.length);
  stage.setAttribute('aria-valuenow', 1);
  stage.setAttribute('aria-valuetext', says(list[0].row));
}

// name shows whose dot it is.
function name(picture, i) {
  const { figure, stage } = picture, point = picture.list[i], tip = $('.tip', figure);
  picture.at = i;
  ring('hov', point ? point.row : null);
  tip.textContent = point ? says(point.row) : '';
  if (!point) return;
  const scale = stage.clientWidth / box.width;
  tip.style.left = Math.max(0, Math.min(point.x * scale - tip.offsetWidth / 2, stage.clientWidth - tip.offsetWidth)) + 'px';
  tip.style.top = point.y * scale - tip.offsetHeight - 14 + 'px';
  stage.setAttribute('aria-valuenow', i + 1);
  stage.setAttribute('aria-valuetext', says(point.row));
}

// nearest is the point within reach of the pointer, -1 for none.
function nearest({ stage, list }, event) {
  const frame = stage.getBoundingClientRect();
  const scale = frame.width / box.width;
  let best = -1, distance = reach;
  list.forEach((p, i) => {
    const d = Math.hypot(p.x * scale - (event.clientX - frame.left), p.y * scale - (event.clientY - frame.top));
    if (d < distance) [best, distance] = [i, d];
  });
  return best;
}

// choose opens a point's track, also when the list does not show it.
function choose(point) {
  if (!point) return;
  if (!point.row.shown) {
    $('#controls').reset();
    for (const s of $$('#verdict, #status')) s.value = '';
    $('#q').value = '';
    filter();
  }
  open(point.row).then(() => point.row.element.scrollIntoView({ block: 'start' }));
  point.row.link.focus({ preventScroll: true });
}

function onPlotKey(picture, event) {
  const { at, list } = picture, last = list.length - 1;
  const to = { ArrowRight: at + 1, ArrowUp: at + 1, ArrowLeft: at - 1, ArrowDown: at - 1, Home: 0, End: last, PageUp: at + 10, PageDown: at - 10 }[event.key];
  if (to !== undefined) {
    event.preventDefault();
    name(picture, Math.max(0, Math.min(last, to)));
  } else if (event.key === 'Enter') {
    event.preventDefault();
    choose(list[at]);
  } else if (event.key === 'Escape') {
    name(picture, -1);
  }
}

// Keyboard and mouse of the list.

export const singleKeys = () => $('#single')?.checked;

function onKey(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const typing = event.target.closest?.('input:not([type=checkbox]):not([type=radio]), select, textarea');
  if (event.key === '/' && !typing && singleKeys()) {
    event.preventDefault();
    $('#q').select();
    $('#q').focus();
    return;
  }
  if (event.target.id === 'q') return fromSearch(event);
  if (event.key === 'Escape' && opened && !typing && !event.target.closest('.stage')) {
    const row = opened;
    close();
    return focus(row);
  }
  const row = event.target.closest?.('.row h3 a') && byId.get(event.target.closest('.row').id);
  if (row) fromRow(event, row);
}

function fromSearch(event) {
  if (event.key === 'ArrowDown' || event.key === 'Enter') {
    event.preventDefault();
    focus(rows.find(r => r.shown));
  } else if (event.key === 'Escape') {
    event.target.value = '';
    filter();
  }
}

function fromRow(event, row) {
  const to = {
    ArrowDown: () => step(row, 1), ArrowUp: () => step(row, -1),
    Home: () => rows.find(r => r.shown), End: () => rows.findLast(r => r.shown),
  }[event.key];
  if (!to) return;
  event.preventDefault();
  focus(to());
}

function onClick(event) {
  if (event.target.closest('#print')) return window.print();
  const link = event.target.closest('.row h3 a');
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  const row = byId.get(link.closest('.row').id);
  makeCurrent(row);
  if (opened === row) {
    close();
    history.replaceState(null, '', location.pathname + location.search);
  } else {
    open(row);
  }
}

// begin sets the list up once the page is there.
function begin() {
  index();
  document.addEventListener('keydown', onKey);
  document.addEventListener('click', onClick);
  $('#controls').addEventListener('input', event => event.target.id === 'sort' ? sort() : filter());
  $('#controls').addEventListener('submit', event => event.preventDefault());
  $('#more').addEventListener('click', further);
  new IntersectionObserver(seen => { if (seen.some(e => e.isIntersecting)) further(); }, { rootMargin: '1500px' }).observe($('#more'));
  window.addEventListener('beforeprint', () => { limit = Infinity; lay(); sheets(); });
  filter(); // a browser may have kept what was typed
  if ($('#sort').value !== 'verdict' && !live) sort();
  window.addEventListener('hashchange', openAsked);
  openAsked();
}

// openAsked opens the track that the address names, also when a link or the user changes it.
function openAsked() {
  const asked = byId.get(location.hash.slice(1));
  if (asked && asked !== opened) open(asked).then(() => opened.element.scrollIntoView());
}

function further() {
  limit += portion;
  lay();
}

document.body.classList.add('js');
if ($('#controls')) begin();
