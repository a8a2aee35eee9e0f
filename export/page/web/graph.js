// The audio graph of listening: two loops that run side by side and in time, of
// which one is heard. It takes any BaseAudioContext, so that what is heard can
// be rendered and measured as well.
//
//   source -> level (<= 0 dB) -> side switch -+
//   source -> level (<= 0 dB) -> side switch -+-> low pass or not -> mono or not -> volume -> out
//
// Nothing is ever turned up.

const fade = 0.004; // seconds; a switch without a click that no ear takes for a fade
export const lowEnd = 150; // Hz
// Two biquads make a Butterworth low pass of fourth order; Web Audio gives the Q
// of a low pass in dB: 20 log10(0.5412) and 20 log10(1.3066).
const butterworth = [-5.3329, 2.3226];

const gain = dB => Math.pow(10, dB / 20);

// levels gives the gain in dB of both sides for a kind of matching. a and b hold
// lufs (as played by two loudspeakers), headroom (dB by which the segment was
// turned down before it was sent) and, on a, trim in dB. The louder comes down to
// the quieter; a trim upwards turns the reference down instead.
export function levels(match, a, b) {
  let [x, y] = [a.headroom, b ? b.headroom : 0]; // as they are, before the headroom
  if (match === 'equal' && b) {
    const quieter = Math.min(a.lufs, b.lufs);
    x += quieter - a.lufs;
    y += quieter - b.lufs;
  } else if (match === 'trim') {
    x += a.trim;
  }
  const over = b ? Math.max(x, y) : x;
  return [x - over, y - over];
}

// strip plays a buffer looped into a bus, with a gain for its level and one that
// makes it heard or not.
function strip(context, buffer, length, heard, bus) {
  const source = context.createBufferSource();
  source.buffer = buffer;
  source.loop = true;
  source.loopEnd = length;
  const level = context.createGain();
  const audible = context.createGain();
  audible.gain.value = heard ? 1 : 0;
  source.connect(level).connect(audible).connect(bus);
  return { source, level, audible };
}

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

// desk is what both strips go through: whole, or the low end alone, then one or
// two channels, then the volume.
function desk(context) {
  const [bus, whole, bottom, mono, volume] = Array.from({ length: 5 }, () => context.createGain());
  const filters = lowPass(context);
  bottom.gain.value = 0;
  bus.connect(whole).connect(mono);
  bus.connect(filters[0]).connect(filters[1]).connect(bottom).connect(mono);
  mono.connect(volume).connect(context.destination);
  volume.gain.value = 0;
  return { bus, whole, bottom, mono, volume };
}

// build connects two buffers (the second may be null) to the context's output.
export function build(context, buffers, sides) {
  const length = Math.min(...buffers.filter(Boolean).map(b => b.duration));
  const { bus, whole, bottom, mono, volume } = desk(context);
  const strips = buffers.map((buffer, i) => buffer && strip(context, buffer, length, i === 0, bus));
  const ramp = (param, value, at = context.currentTime) => {
    param.cancelScheduledValues(at);
    param.setTargetAtTime(value, at, fade / 4);
  };
  return {
    length,
    volume,
    start(at = 0) {
      for (const s of strips) s?.source.start(at);
    },
    stop() {
      for (const s of strips) s?.source.stop();
    },
    hear(side, at) {
      strips.forEach((s, i) => s && ramp(s.audible.gain, i === side ? 1 : 0, at));
    },
    match(kind) {
      levels(kind, sides[0], sides[1]).forEach((dB, i) => strips[i] && ramp(strips[i].level.gain, gain(dB)));
    },
    low(on) {
      ramp(whole.gain, on ? 0 : 1);
      ramp(bottom.gain, on ? 1 : 0);
    },
    mono(on) {
      mono.channelCount = on ? 1 : 2;
      mono.channelCountMode = on ? 'explicit' : 'max';
    },
    loud(dB) {
      ramp(volume.gain, gain(Math.min(0, dB)));
    },
  };
}
