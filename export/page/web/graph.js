// The audio graph of listening: up to three sides (the track, one beside it, the track with
// the moves of its advice), of which one is heard. It takes any BaseAudioContext, so that
// what is heard can be rendered and measured as well.
//
//   source -> level (<= 0 dB) -> heard or not -+
//   source -> level (<= 0 dB) -> heard or not -+-> whole or low end -> both, mono or sides -> volume -> out
//   source -> level (<= 0 dB) -> heard or not -+
//
// Nothing is ever turned up.

const fade = 0.004; // seconds; a switch without a click that no ear takes for a fade
export const lowEnd = 150; // Hz
// Two biquads make a Butterworth low pass of fourth order; Web Audio gives the Q
// of a low pass in dB: 20 log10(0.5412) and 20 log10(1.3066).
const butterworth = [-5.3329, 2.3226];

const gain = dB => Math.pow(10, dB / 20);

// levels gives the gain in dB of every side for a kind of matching. A side holds lufs (as
// played by two loudspeakers), headroom (dB by which its segment was turned down before it
// was sent) and, where it has one, its trim in dB; null for none. The loudest side is left
// as it was sent or turned down, the others follow; a trim upwards turns the others down.
export function levels(match, sides) {
  const raise = sides.map(s => !s ? -Infinity : s.headroom - (match === 'equal' ? s.lufs : 0) + (match === 'trim' ? s.trim ?? 0 : 0));
  const over = Math.max(...raise);
  return raise.map(x => x - over);
}

const ramp = (param, value, at) => {
  param.cancelScheduledValues(at);
  param.setTargetAtTime(value, at, fade / 4);
};

// lowPass is the filters of the low end, in their order.
function lowPass(context) {
  return butterworth.map(q => {
    const f = context.createBiquadFilter();
    f.type = 'lowpass';
    f.frequency.value = lowEnd;
    f.Q.value = q;
    return f;
  });
}

const node = (context, value = 1) => {
  const g = context.createGain();
  g.gain.value = value;
  return g;
};

const fixed = (g, channels) => {
  g.channelCount = channels;
  g.channelCountMode = 'explicit';
  return g;
};

// halves is what the image of a sound is made of: both channels, half their sum, and half
// their difference, each to be turned on or off.
function halves(context, from, to) {
  const both = node(context), mono = fixed(node(context, 0), 1), sides = fixed(node(context, 0), 1);
  const pair = fixed(node(context), 2); // a mono file has two equal channels, and no sides
  const split = context.createChannelSplitter(2);
  const [left, right] = [node(context, 0.5), node(context, -0.5)];
  from.connect(both).connect(to);
  from.connect(mono).connect(to);
  from.connect(pair).connect(split);
  split.connect(left, 0).connect(sides);
  split.connect(right, 1).connect(sides);
  sides.connect(to);
  return { stereo: both, mono, sides };
}

// strip takes the sources of one side, and says how loud it is and whether it is heard.
function strip(context, bus) {
  const level = node(context), audible = node(context, 0);
  level.connect(audible).connect(bus);
  return { level, audible };
}

// build connects three sides to the context's output.
export function build(context) {
  const [bus, whole, after] = [node(context), node(context), node(context)];
  const bottom = node(context, 0), volume = node(context, 0);
  const filters = lowPass(context);
  bus.connect(whole).connect(after);
  bus.connect(filters[0]).connect(filters[1]).connect(bottom).connect(after);
  const image = halves(context, after, volume);
  volume.connect(context.destination);
  const strips = [0, 1, 2].map(() => strip(context, bus));
  const now = at => at ?? context.currentTime;
  return {
    volume,
    into: side => strips[side].level,
    hear: (side, at) => strips.forEach((s, i) => ramp(s.audible.gain, i === side ? 1 : 0, now(at))),
    match: (kind, sides) => levels(kind, sides).forEach((dB, i) => ramp(strips[i].level.gain, gain(dB), now())),
    low(on) {
      ramp(whole.gain, on ? 0 : 1, now());
      ramp(bottom.gain, on ? 1 : 0, now());
    },
    image: kind => Object.entries(image).forEach(([name, g]) => ramp(g.gain, name === kind ? 1 : 0, now())),
    loud: dB => ramp(volume.gain, gain(Math.min(0, dB)), now()),
  };
}

// repeat plays a buffer over and over, seconds of it, from a place in it on.
export function repeat(context, buffer, seconds, to, at, offset = 0) {
  const source = context.createBufferSource();
  source.buffer = buffer;
  source.loop = true;
  source.loopEnd = Math.min(seconds, buffer.duration);
  source.connect(to);
  source.start(at, offset % source.loopEnd);
  return source;
}

export const overlap = 0.02; // seconds for which a piece and the next one sound together

// piece plays a buffer once, from a place in it on, faded over into the one before and the
// one behind: they hold the same sound there, so that the sum is that sound.
export function piece(context, buffer, to, at, offset, { first, last }) {
  const source = context.createBufferSource(), edge = node(context);
  source.buffer = buffer;
  source.connect(edge).connect(to);
  if (!first) {
    edge.gain.setValueAtTime(0, at);
    edge.gain.linearRampToValueAtTime(1, at + overlap);
  }
  const end = at + buffer.duration - offset;
  if (!last) {
    edge.gain.setValueAtTime(1, end - overlap);
    edge.gain.linearRampToValueAtTime(0, end);
  }
  source.start(at, offset);
  return source;
}
