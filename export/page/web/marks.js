// The forms that mark tracks and take marks back: written to the database at once.

import { $, $$ } from './dom.js';
import { list } from './rows.js';
import { chooseAll } from './pick.js';
import { inTurn, since, takeOver } from './live.js';

// send hands a form to the server and takes over what that changed; it gives what the server
// asks instead.
async function send(form, button, sure) {
  const data = new URLSearchParams(new FormData(form));
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
  try {
    const asked = await inTurn(() => send(form, button, sure));
    if (asked) return ask(form, button, asked);
    if (undoing && !$('#undo button')) (list.opened ?? list.current)?.link.focus({ preventScroll: true });
    else if (sure && !document.activeElement?.closest('form')) $('[aria-pressed=true]', form)?.focus({ preventScroll: true });
  } catch (error) {
    beside(form, 'failed', 'Not done: ' + error.message);
  }
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
