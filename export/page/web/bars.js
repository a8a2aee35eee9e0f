// Bars: where a part to be repeated begins and ends, and whether two of them keep step.
// Nothing here touches the page or makes a sound.

const beatsPerBar = 4;

// inTime in seconds is how far two beats may be apart to be said to be in time: half of what
// it takes to tell which of two sounds came first (Hirsh, J. Acoust. Soc. Am. 31, 1959: 20 ms).
export const inTime = 0.010;

const barOf = beat => beatsPerBar * 60 / beat.bpm;

// partAt is what is repeated about a place: whole bars from a bar line where the beat is sure
// (sixteen, or as many of them as can be sent and lie in the track, halved), a plain stretch
// elsewhere. It holds the place; near takes the nearest bar line instead of the one before.
export function partAt(side, place, stretch, near = false) {
  const { seconds, beat } = side;
  const most = Math.min(side.longest_s, seconds);
  const plain = Math.min(stretch, most);
  const straight = { from: Math.max(0, Math.min(place, seconds - plain)), seconds: plain, bars: 0 };
  if (!beat) return straight;
  const bar = barOf(beat), origin = beat.first - Math.floor(beat.first / bar) * bar;
  const fits = bars => bars * bar <= side.longest_s && origin + bars * bar <= seconds;
  let bars = 16;
  while (!fits(bars) && bars > 1) bars /= 2;
  if (!fits(bars)) return straight;
  const whole = (place - origin) / bar;
  const last = Math.floor((seconds - origin) / bar + 1e-6) - bars;
  const n = Math.max(0, Math.min(near ? Math.round(whole) : Math.floor(whole + 1e-6), last));
  return { from: origin + n * bar, seconds: bars * bar, bars };
}

// step says how two parts go together. drift is how far apart in seconds their beats are at
// the end of the part that is repeated, tempi that are twice each other counting as the same.
export function step(a, b, part) {
  if (!a.beat || !b.beat || !part.bars) return { sure: false, inTime: false, drift: NaN };
  const octaves = Math.log2(b.beat.bpm / a.beat.bpm);
  const ratio = Math.pow(2, octaves - Math.round(octaves));
  const drift = part.seconds * Math.abs(ratio - 1);
  return { sure: true, inTime: drift <= inTime, drift };
}

// beside is the part of another track that goes with a part of the first: as long as that where
// they are in time, else one of its own; of the same music, the same place.
export function beside(a, b, part, stretch) {
  if (samePlace(a, b, part)) {
    return { from: Math.max(0, Math.min(part.from + (b.offset ?? 0), b.seconds - part.seconds)), seconds: part.seconds, bars: part.bars };
  }
  const own = partAt(b, b.loudest_s, stretch, true);
  if (!step(a, b, part).inTime) return own;
  let from = own.from;
  while (from + part.seconds > b.seconds && from >= barOf(b.beat)) from -= barOf(b.beat);
  return { from, seconds: part.seconds, bars: part.bars };
}

// sameLength in seconds is how much the lengths of two versions may differ by to be played
// from the same place: what encoders put at both ends.
const sameLength = 0.1;

// samePlace tells that the other track plays the same music from the same place: where the two
// were laid on each other (offset is the time in it of what is at 0 s in the first), as long as
// it has the whole part; else where they are versions of one length.
function samePlace(a, b, part) {
  if (Number.isFinite(b.offset)) return part.from + b.offset >= 0 && part.from + b.offset + part.seconds <= b.seconds;
  return b.version && Math.abs(a.seconds - b.seconds) < sameLength;
}

// keepsStep tells that the parts of two tracks go round together, so that switching keeps the place.
export const keepsStep = (a, b, part) => samePlace(a, b, part) || step(a, b, part).inTime;

const bpm = beat => beat.bpm.toFixed(1) + ' BPM';

// partWords says what is repeated.
export function partWords(side, part) {
  if (!part.bars) return `${Math.round(part.seconds)} s, repeated: its beat is not sure enough for whole bars`;
  const length = part.bars === 1 ? 'one bar' : part.bars + ' bars';
  return side.beat.bars ? `${length}, repeated, from a bar line` : `${length}, repeated, from a beat: where its bars begin is not sure`;
}

// stepWords says how two sides go together in time.
export function stepWords(a, b, part) {
  if (Number.isFinite(b.offset)) return samePlace(a, b, part) ? 'The same music, laid on each other to the sample.' : 'It has not all of this part: it plays its own.';
  if (b.version) return samePlace(a, b, part) ? 'The same music, from the same time in its file.' : 'The same music at another length: it plays its own loudest part.';
  const s = step(a, b, part);
  if (!s.sure) return 'Not in time: the beat of one of them is not sure. Each plays its own part.';
  if (!s.inTime) return `Not in time: ${bpm(a.beat)} and ${bpm(b.beat)} drift ${s.drift.toFixed(2)} s apart over ${part.bars} bars. It plays as it is, from its own ${b.beat.bars ? 'bar line' : 'beat'}.`;
  const bars = a.beat.bars && b.beat.bars ? '' : ' Where the bars begin is not sure.';
  return `In time: their beats drift ${Math.max(1, Math.ceil(s.drift * 1000))} ms apart at most.${bars}`;
}

// clock writes seconds as minutes.
export function clock(seconds) {
  const s = Math.max(0, Math.floor(seconds));
  return `${Math.floor(s / 60)}:${String(s % 60).padStart(2, '0')}`;
}

export const decibels = dB => (dB < 0 ? '\u2212' : '') + Math.abs(dB) + ' dB';
