// What the parts of the dock share: what is remembered as long as the window is open, what is
// played, and the one beside it.

export const dock = document.querySelector('#dock');
export const $ = selector => dock.querySelector(selector);
export const $$ = selector => [...dock.querySelectorAll(selector)];

// What is remembered as long as the window is open: the volume above all, so that the first
// play starts low and no other one jumps.
export const kept = Object.assign({ volume: -30, match: 'equal', image: 'stereo', low: false, again: true, beside: 0, guest: null, more: false }, stored());

function stored() {
  try {
    return JSON.parse(sessionStorage.getItem('dubgauge-dock')) ?? {};
  } catch {
    return {};
  }
}

export function keep(name, value) {
  kept[name] = value;
  try {
    sessionStorage.setItem('dubgauge-dock', JSON.stringify(kept));
  } catch { /* it is remembered until the page is left */ }
}

export let now = null; // what is played: one track at a time
export const setNow = what => { now = what; };

export const [own, other, moved] = [0, 1, 2]; // the sides

// chosen is the track beside the one that is played; null without one.
export const chosen = () => now?.info?.beside?.find(s => s.id === Number($('.beside').value)) ?? null;

// asked fetches something; its error bears the status of the answer.
export async function asked(path, signal) {
  const answer = await fetch(path, { signal });
  if (!answer.ok) throw Object.assign(new Error((await answer.text()).trim()), { status: answer.status });
  return answer;
}
