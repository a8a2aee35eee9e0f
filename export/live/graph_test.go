package live

import (
	"testing"

	"dubgauge/export/browser"
)

// rendered gives the largest absolute value of an expression over the samples from a tenth of a
// second on of what a graph renders in two seconds at 48 kHz. l, r and i are the channels and
// the number of the sample.
func rendered(t *testing.T, setup, expression string) float64 {
	t.Helper()
	db, _ := bagged(t)
	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	return browser.Eval[float64](t, ctx, `(async () => {
		const { build, repeat, piece, overlap } = await import('/assets/graph.js');
		const rate = 48000, context = new OfflineAudioContext(2, 2 * rate, rate), g = build(context);
		const sine = i => Math.sin(2 * Math.PI * 441 * i / rate);
		const buffer = (channels, from, seconds) => {
			const b = context.createBuffer(channels, Math.round(seconds * rate), rate);
			for (let c = 0; c < channels; c++) b.getChannelData(c).set(Float32Array.from({ length: b.length }, (_, i) => sine(i + from * rate)));
			return b;
		};
		g.loud(0);
		g.hear(0);
		`+setup+`
		const out = await context.startRendering(), l = out.getChannelData(0), r = out.getChannelData(1);
		let worst = 0;
		for (let i = rate / 10; i < l.length; i++) worst = Math.max(worst, Math.abs(`+expression+`));
		return worst;
	})()`)
}

// A file of one channel is played by two loudspeakers alike: it has no sides.
func TestOneChannelHasNoSides(t *testing.T) {
	if v := rendered(t, `g.image('sides'); repeat(context, buffer(1, 0, 1), 1, g.into(0), 0);`, `l[i]`); v > 1e-6 {
		t.Errorf("the sides of one channel peak at %g", v)
	}
}

// Pieces that follow each other are one sound: the sine goes on over the joint, which is
// faded, and does not grow by it.
func TestPiecesJoin(t *testing.T) {
	v := rendered(t, `piece(context, buffer(2, 0, 1 + overlap), g.into(0), 0, 0, { first: true, last: false });
		piece(context, buffer(2, 1, 1), g.into(0), 1, 0, { first: false, last: true });`, `l[i] - sine(i)`)
	if v > 2e-3 { // the ramps of gains are computed in single precision, sample by sample
		t.Errorf("at the joint the sound is off by %g", v)
	}
}

// What is sent may be longer than the part that is repeated: only the part is.
func TestRepeatsOnlyThePart(t *testing.T) {
	if v := rendered(t, `repeat(context, buffer(2, 0, 1.5), 0.5, g.into(0), 0);`, `l[i] - sine(i % (rate / 2))`); v > 1e-4 {
		t.Errorf("the part is off by %g", v)
	}
}
