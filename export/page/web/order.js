// A step of the running order is heard: the end of the outgoing track, then the start of
// the incoming one, at the trims. The server works out which parts, how loud and how fast.

import { kept, keep } from './dock-state.js';

let audio;
let master; // the volume, the dock's: it is remembered as long as the window is open
let playing; // { button, nodes, timers, done }

// tell says beside a button what happens.
function tell(button, text) {
  button.parentElement.querySelector('output').textContent = text;
}

async function part(id, from, length, signal) {
  const answer = await fetch(`/audio/${id}?from=${from}&len=${length}`, { signal });
  if (!answer.ok) throw new Error(await answer.text());
  return audio.decodeAudioData(await answer.arrayBuffer());
}

const fade = 0.005; // s, so that no part begins or ends with a click

// start plays seconds of a part from a time on.
function start(buffer, at, seconds, gainDB, rate) {
  const source = new AudioBufferSourceNode(audio, { buffer, playbackRate: rate });
  const gain = new GainNode(audio, { gain: 0 });
  const level = 10 ** (gainDB / 20);
  gain.gain.setValueAtTime(0, at);
  gain.gain.linearRampToValueAtTime(level, at + fade);
  gain.gain.setValueAtTime(level, at + seconds - fade);
  gain.gain.linearRampToValueAtTime(0, at + seconds);
  source.connect(gain).connect(master);
  source.start(at);
  source.stop(at + seconds);
  return source;
}

function stop() {
  if (!playing) return;
  const { button, nodes, timers, abort } = playing;
  playing = undefined;
  abort.abort();
  timers.forEach(clearTimeout);
  nodes.forEach((n) => n.stop());
  button.setAttribute('aria-pressed', 'false');
  button.textContent = 'Hear this step';
  tell(button, '');
}

async function hear(button) {
  const d = button.dataset;
  const mine = playing = { button, nodes: [], timers: [], abort: new AbortController() };
  button.setAttribute('aria-pressed', 'true');
  button.textContent = 'Stop';
  tell(button, 'Loading');
  if (!audio) {
    audio = new AudioContext();
    master = new GainNode(audio, { gain: 10 ** (kept.volume / 20) });
    master.connect(audio.destination);
  }
  await audio.resume();
  const [out, next] = await Promise.all([
    part(d.out, d.outFrom, d.outLen, mine.abort.signal), part(d.in, d.inFrom, d.inLen, mine.abort.signal)]);
  if (playing !== mine) return;
  const rate = Number(d.rate);
  // Asked lengths, not those that came: the beats meet where they were worked out to.
  const first = Math.min(Number(d.outLen), out.duration);
  const second = Math.min(Number(d.inLen), next.duration) / rate;
  const at = audio.currentTime + 0.1;
  mine.nodes.push(start(out, at, first, Number(d.outDb), 1), start(next, at + first, second, Number(d.inDb), rate));
  tell(button, `Playing the end of ${d.outName}`);
  mine.timers.push(setTimeout(() => tell(button, `Playing the start of ${d.inName}`), 1000 * (first + 0.1)));
  mine.timers.push(setTimeout(stop, 1000 * (first + second + 0.2)));
}

document.body.classList.add('js');

const loud = document.querySelector('#loud');
const tellLoud = () => { loud.parentElement.parentElement.querySelector('output').textContent = `${String(kept.volume).replace('-', '−')} dB`; };
if (loud) {
  loud.value = kept.volume;
  tellLoud();
  loud.addEventListener('input', () => {
    keep('volume', Number(loud.value));
    tellLoud();
    master?.gain.setTargetAtTime(10 ** (kept.volume / 20), audio.currentTime, 0.01);
  });
}
document.addEventListener('click', async (event) => {
  const button = event.target.closest('.hear button');
  if (!button) return;
  const again = playing?.button === button;
  stop();
  if (again) return;
  try {
    await hear(button);
  } catch (error) {
    if (error.name === 'AbortError') return;
    stop();
    tell(button, `Not played: ${error.message}`);
  }
});
