// Marks: written to the database at once, taken back at once. The list, the
// pictures and the open track follow without a reload of the page.

import { index, filter, sort, reopen, openId, close } from './list.js';

const $ = (selector, root = document) => root.querySelector(selector);

async function send(form, button) {
  const data = new URLSearchParams(new FormData(form));
  if (button?.name) data.append(button.name, button.value);
  const answer = await fetch(form.action, { method: 'POST', body: data, headers: { Accept: 'text/plain' } });
  if (!answer.ok) throw new Error(await answer.text());
}

async function fetched(path) {
  const answer = await fetch(path, { headers: { Accept: 'text/html' } });
  if (!answer.ok) throw new Error(await answer.text());
  return new DOMParser().parseFromString(await answer.text(), 'text/html');
}

// refresh takes over what the server now says.
export async function refresh(focused) {
  const page = await fetched('/');
  const id = openId();
  close();
  for (const part of ['tally', 'held', 'glance', 'list', 'undo']) {
    const [old, now] = [$('#' + part), $('#' + part, page)];
    if (old && now) old.replaceWith(document.adoptNode(now));
  }
  index();
  sort();
  filter();
  if (id) await reopen(id);
  const again = focused && $(focused);
  (again || (id && $(`#${id} h3 a`)) || $('#undo button'))?.focus({ preventScroll: true });
}

// A track on a page of its own is replaced as a whole.
async function refreshAlone() {
  const page = await fetched(location.pathname);
  $('main').replaceWith(document.adoptNode($('main', page)));
}

async function onSubmit(event) {
  const form = event.target.closest('.marks, .undo form');
  if (!form) return;
  event.preventDefault();
  const button = event.submitter;
  const mark = button?.value.replace('no-', ''); // a mark that is set offers to be taken back
  const focused = form.matches('.marks') && mark ? `.open .marks :is([value=${mark}], [value=no-${mark}])` : null;
  try {
    await send(form, button);
    await ($('#list') ? refresh(focused) : refreshAlone());
  } catch (error) {
    const note = $('#undo');
    note.textContent = `Not done: ${error.message}`;
  }
}

document.addEventListener('submit', onSubmit);
