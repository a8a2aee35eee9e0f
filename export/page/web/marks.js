// The forms that mark tracks and take marks back: written to the database at once.

import { $, $$ } from './dom.js';
import { list } from './rows.js';
import { chooseAll, chosen } from './pick.js';
import { inTurn, since, takeOver } from './live.js';

// send hands a form to the server and takes over what that changed; it gives what the server
// asks instead.
async function send(form, button, sure) {
  const data = new URLSearchParams(new FormData(form));
  if (form.matches('.many')) { // rows that are not laid out too
    data.delete('id');
    for (const row of chosen()) data.append('id', row.box.value);
  }
  if (button?.name) data.append(button.name, button.value);
  if (sure) data.append('sure', '1');
  data.append('since', since());
  const answer = await fetch(form.action, { method: 'POST', body: data, headers: { Accept: 'application/json' } });
  if (!answer.ok) throw new Error(await answer.text());
  const delta = await answer.json();
  if (delta.ask) return delta.ask;
  if (form.matches('.many')) chooseAll(false);
  await takeOver(delta);
}

async function onSubmit(event) {
  const form = event.target.closest('.marks, .many, .undo form');
  if (!form) return;
  event.preventDefault();
  const button = event.submitter;
  await submit(form, button, button?.hasAttribute('data-sure'));
}

async function submit(form, button, sure) {
  const undoing = form.matches('.undo form');
  for (const old of $$('.ask, .failed', form)) old.remove();
  const asItWas = atOnce(form, button);
  try {
    const asked = await inTurn(() => send(form, button, sure));
    if (asked) {
      asItWas();
      return ask(form, button, asked);
    }
    if (undoing && !$('#undo button')) (list.opened ?? list.current)?.link.focus({ preventScroll: true });
    else if (sure && !document.activeElement?.closest('form')) $('[aria-pressed=true]', form)?.focus({ preventScroll: true });
  } catch (error) {
    asItWas();
    beside(form, 'failed', 'Not done: ' + error.message);
  }
}

// atOnce shows a mark of one track before the server has judged all others, and gives what
// takes that back.
function atOnce(form, button) {
  if (!form.matches('.marks') || !button?.value) return () => {};
  const status = value => /^(un)?released$/.test(value), before = [];
  for (const one of $$('[aria-pressed]', form)) {
    const same = one.value === button.value;
    if (!same && !(status(one.value) && status(button.value))) continue;
    before.push([one, one.getAttribute('aria-pressed')]);
    one.setAttribute('aria-pressed', String(same && !button.value.startsWith('no-')));
  }
  return () => before.forEach(([one, was]) => one.setAttribute('aria-pressed', was));
}

// beside says something in the form whose button was pressed, where the eye is.
function beside(form, kind, text) {
  const p = document.createElement('p');
  p.className = kind;
  p.setAttribute('role', 'alert');
  p.append(text);
  (form.querySelector('fieldset') ?? form).append(p);
  return p;
}

// ask has the user confirm what a mark would do.
function ask(form, button, text) {
  const p = beside(form, 'ask', text + ' ');
  const yes = document.createElement('button'), no = document.createElement('button');
  yes.textContent = 'Do it';
  yes.name = button.name;
  yes.value = button.value;
  yes.setAttribute('data-sure', '');
  no.type = 'button';
  no.textContent = 'Leave it';
  no.addEventListener('click', () => {
    p.remove();
    button.focus();
  });
  p.append(yes, ' ', no);
  yes.focus();
}

document.addEventListener('submit', onSubmit);
