// The scan beside the list: how far it is, as the server tells it, and sticks that come and go.
// When the library changed, here, in another window or in a terminal, the list follows.

import { refresh } from './live.js';

const $ = (selector, root = document) => root.querySelector(selector);
const box = $('#window');

let stream = null; // of events; none while nobody looks at this page
let known = ''; // the last state of the library that was told
let over = false; // the program has ended

// show puts what the server says into the page. What did not change is not touched, so that
// nothing is read aloud twice and no button loses the focus.
function show(now) {
  box.className = 'window ' + now.state;
  say('#scan-said', now.said);
  say('#scan-figures', now.figures);
  say('#scan-track', now.track);
  const runs = now.state === 'runs';
  hide('#scan-run', !runs);
  say('#scan-go button', now.go);
  // What appears does so first, so that the focus has where to go.
  const buttons = [['#scan-stop', !runs], ['#scan-go', !now.go]];
  for (const [form, hidden] of buttons.toSorted((a, b) => a[1] - b[1])) hide(form, hidden);
  const bar = $('#scan-bar');
  if (now.total) {
    [bar.max, bar.value] = [now.total, now.done];
  } else {
    bar.removeAttribute('value');
  }
  say('#scan-bar', `${now.done} of ${now.total}`);
  hide('#scan-problems', !now.problems.length);
  list('#scan-problems ul', now.problems, text => element('li', text));
  list('#scan-notes', now.notes, note);
  const type = $('.type button');
  if (type) type.disabled = runs;
}

// told shows what the server says; the page of folders follows when a scan began or ended, or a
// stick came or went.
let last = '';
function told(now) {
  show(now);
  const key = JSON.stringify([now.state, now.notes]);
  if ($('#start') && last && key !== last) follow();
  last = key;
}

function say(selector, text) {
  const part = $(selector);
  if (part.textContent !== text) part.textContent = text;
}

// hide hides a part; the focus does not get lost with it.
function hide(selector, hidden) {
  const part = $(selector);
  if (part.hidden === hidden) return;
  const focused = hidden && part.contains(document.activeElement);
  part.hidden = hidden;
  if (focused) $('.window-line :is(form:not([hidden]) button, a)', box).focus({ preventScroll: true });
}

function list(selector, items, make) {
  const part = $(selector), key = JSON.stringify(items);
  if (part.dataset.key === key) return;
  part.dataset.key = key;
  part.replaceChildren(...items.map(make));
}

function element(name, text, attributes = {}) {
  const e = Object.assign(document.createElement(name), attributes);
  if (text) e.textContent = text;
  return e;
}

function note({ said, dir, go }) {
  const line = element('li');
  line.append(element('span', said));
  if (go) line.append(button('/scan', dir, go));
  if (dir) line.append(button('/scan/later', dir, go ? 'Not now' : 'Good'));
  return line;
}

function button(action, dir, label) {
  const form = element('form', '', { method: 'post', action });
  form.append(element('input', '', { type: 'hidden', name: 'dir', value: dir }), element('button', label));
  return form;
}

// The list follows the library, one step after the other and with a pause that grows with what
// a step takes: a scan stores several tracks a second.
const leastPause = 1000; // ms
let following = false, again = false;

async function follow() {
  again = true;
  if (following) return;
  following = true;
  while (again && !over) {
    again = false;
    const begun = performance.now();
    try {
      await ($('#start') ? refreshStart() : refresh());
    } catch { /* the next change, or the stream, will tell */ }
    await new Promise(done => setTimeout(done, Math.max(leastPause, 3 * (performance.now() - begun))));
  }
  following = false;
}

async function refreshStart() {
  const answer = await fetch('/start', { headers: { Accept: 'text/html' } });
  if (!answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), 'text/html');
  const [old, now] = [$('#places'), $('#places', page)];
  const dir = old.contains(document.activeElement) && document.activeElement.form?.elements.dir?.value;
  if (old.innerHTML === now.innerHTML) return;
  old.replaceWith(document.adoptNode(now));
  if (dir) $(`#places [value="${CSS.escape(dir)}"] ~ button`)?.focus({ preventScroll: true });
}

// A browser keeps few connections to one server, so a window that nobody sees holds none.
function connect() {
  if (stream || over || document.visibilityState === 'hidden') return;
  stream = new EventSource('/events?since=' + encodeURIComponent(known));
  stream.addEventListener('window', event => { say('#scan-wrong', ''); told(JSON.parse(event.data)); });
  stream.addEventListener('library', event => { known = event.lastEventId; follow(); });
  stream.addEventListener('end', () => { over = true; disconnect(); say('#scan-wrong', 'dubgauge has ended. What was measured and marked is kept; start it again to go on.'); });
  stream.onerror = () => {
    if (over) return;
    say('#scan-wrong', 'No word from dubgauge: is it still running? What is shown may be old.');
    if (stream?.readyState !== EventSource.CLOSED) return; // it tries again by itself
    disconnect();
    setTimeout(connect, 5000);
  };
}

function disconnect() {
  stream?.close();
  stream = null;
}

// The forms of the scan are sent without leaving the page; those that end or begin at another
// page are left to the browser.
async function onSubmit(event) {
  const form = event.target;
  if (!form.closest('#window') || form.getAttribute('action') === '/quit' || $('#start')) return;
  event.preventDefault();
  try {
    const answer = await fetch(form.action, { method: 'POST', body: new URLSearchParams(new FormData(form)), headers: { Accept: 'text/plain' } });
    if (!answer.ok) throw new Error(await answer.text());
    say('#scan-wrong', '');
  } catch (error) {
    say('#scan-wrong', `Not done: ${error.message}`);
  }
}

if (box) {
  document.addEventListener('submit', onSubmit);
  document.addEventListener('visibilitychange', () => document.visibilityState === 'hidden' ? disconnect() : connect());
  window.addEventListener('pagehide', disconnect);
  window.addEventListener('pageshow', connect);
  connect();
}
