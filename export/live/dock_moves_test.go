package live

import (
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"math"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dubgauge/export/browser"
)

// The moves are a side of their own: x comes to it behind the reference, its settings are
// said, and at equal loudness it is as loud as the track.
func TestTheMovesAreASide(t *testing.T) {
	db, dull := dulled(t)
	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	x := named(t, db, dull.path)
	starter(t, ctx, x.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(1)+` && `+state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(2)+` && `+state+` === 'playing'`)
	if note := browser.Eval[string](t, ctx, `document.querySelector('#dock .note').textContent`); !strings.Contains(note, "The moves: ") || !strings.Contains(note, "dB") || !strings.Contains(note, "8 s, repeated: its beat is not sure") {
		t.Errorf("the dock says %q", note)
	}
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(0)+` && `+state+` === 'playing'`)

	// As the dock does it: levels for the three sides, of which two are rendered.
	var level [2]float64
	for i, side := range []int{0, 2} {
		raw, err := base64.StdEncoding.DecodeString(browser.Eval[string](t, ctx, fmt.Sprintf(`(async () => {
			const { build, repeat } = await import('/assets/graph.js');
			const info = await (await fetch('/listen/%[1]d')).json();
			const context = new OfflineAudioContext(2, 7 * 48000, 48000);
			const own = await fetch('/audio/%[1]d?from=0&len=8'), moved = await fetch('/audio/%[1]d?from=0&len=8&moves');
			const lu = Number(moved.headers.get('Dubgauge-Moves-LU'));
			const g = build(context), one = info.beside[0];
			g.match('equal', [info, { lufs: one.lufs, headroom: one.headroom }, { lufs: info.lufs + lu, headroom: info.moves_head }]);
			g.loud(0);
			g.hear(%[2]d);
			repeat(context, await context.decodeAudioData(await own.arrayBuffer()), 8, g.into(0), 0);
			repeat(context, await context.decodeAudioData(await moved.arrayBuffer()), 8, g.into(2), 0);
			const out = await context.startRendering(), l = out.getChannelData(0), r = out.getChannelData(1);
			const both = new Float32Array(l.length * 2);
			for (let i = 0; i < l.length; i++) { both[2 * i] = l[i]; both[2 * i + 1] = r[i]; }
			const bytes = new Uint8Array(both.buffer);
			let text = '';
			for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
			return btoa(text);
		})()`, x.ID, side)))
		if err != nil {
			t.Fatal(err)
		}
		both := [][]float32{make([]float32, len(raw)/8), make([]float32, len(raw)/8)}
		for k := range both[0] {
			for c := range both {
				both[c][k] = math.Float32frombits(binary.LittleEndian.Uint32(raw[8*k+4*c:]))
			}
		}
		level[i] = integrated(t, both)
	}
	if d := level[0] - level[1]; math.Abs(d) > equalWithin {
		t.Errorf("the track plays at %.2f, with the moves at %.2f LUFS", level[0], level[1])
	}
}

// A reference whose file is gone keeps nobody from hearing the track, and is named; one that
// comes after it can be heard.
func TestAMissingReference(t *testing.T) {
	db, lib := scanned(t, []sound{
		{path: "Dubs/a edit.wav", rate: 44100, seconds: 8}, {path: "Records/anchor.wav", rate: 44100, seconds: 8}, {path: "Records/bellows.wav", rate: 48000, seconds: 8},
	})
	for _, gone := range []string{"anchor.wav"} {
		if err := os.Remove(filepath.Join(filepath.Dir(lib), "bag", "Records", gone)); err != nil {
			t.Fatal(err)
		}
	}
	ctx := browser.TabWith(t, "404", "409", "500")
	visit(t, ctx, served(t, db, Options{}))
	x := named(t, db, "Dubs/a edit.wav")
	starter(t, ctx, x.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, `document.querySelector('#dock .trouble').textContent.includes('The one beside it is not played') && `+state+` === 'playing'`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(0)+` && `+state+` === 'playing' && document.querySelector('#dock .trouble').textContent`)
	clickOn(t, ctx, "#dock .next")
	browser.Until(t, ctx, `document.querySelector('#dock .trouble').textContent === ''`)
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(1)+` && `+state+` === 'playing'`)
}

// A changed file is named and offered for a new measurement: by the server where it does that,
// else by the command.
func TestAChangedFileIsOfferedForMeasuring(t *testing.T) {
	db, lib := scanned(t, []sound{{path: "Dubs/a edit.wav", rate: 44100, seconds: 8}})
	rewrite(t, filepath.Join(filepath.Dir(lib), "bag", "Dubs", "a edit.wav"), func(b []byte) []byte { b[50000] ^= 0x10; return b })
	ctx := browser.TabWith(t, "405", "409", "404")
	visit(t, ctx, served(t, db, Options{}))
	x := named(t, db, "Dubs/a edit.wav")
	starter(t, ctx, x.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, `document.querySelector('#dock [data-measure="`+fmt.Sprint(x.ID)+`"]') && `+state+` === 'stopped'`)
	if said := browser.Eval[string](t, ctx, `document.querySelector('#dock .trouble').textContent`); !strings.Contains(said, "not the one that was measured") {
		t.Errorf("it says %q", said)
	}
	clickOn(t, ctx, "#dock [data-measure]")
	browser.Until(t, ctx, `document.querySelector('#dock .trouble').textContent.startsWith('To measure it again: dubgauge scan "')`)

	// With a server that measures.
	browser.Eval[bool](t, ctx, `(() => {
		const real = window.fetch;
		window.asked = '';
		window.fetch = (path, o) => path === '/scan' ? (window.asked = o.method + ' ' + o.body, Promise.resolve(new Response('', { status: 202 }))) : real(path, o);
		return true;
	})()`)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, `document.querySelector('#dock [data-measure]')`)
	clickOn(t, ctx, "#dock [data-measure]")
	browser.Until(t, ctx, `document.querySelector('#dock .trouble').textContent.includes('is being measured again')`)
	if got := browser.Eval[string](t, ctx, `window.asked`); got != fmt.Sprintf("%s track=%d", http.MethodPost, x.ID) {
		t.Errorf("the server was asked %q", got)
	}
}

// A track whose beat is sure is repeated in whole bars, and one of another tempo beside it is
// said not to be in time.
func TestWholeBarsInTheDock(t *testing.T) {
	drums := func(path string, bpm float64) sound { return sound{path: path, rate: 22050, seconds: 64, drums: bpm} }
	db, _ := scanned(t, []sound{drums("Dubs/drums edit.wav", 120), drums("Records/same.wav", 120), drums("Records/faster.wav", 126)})
	x := named(t, db, "Dubs/drums edit.wav")
	if b := beatOf(&x); b == nil || math.Abs(b.BPM-120) > 0.01 {
		t.Fatalf("the drums at 120 BPM have the beat %+v (%+v): this shows nothing", b, x.Measurement.Tempo)
	}
	ctx := browser.Tab(t)
	visit(t, ctx, served(t, db, Options{}))
	starter(t, ctx, x.ID)
	clickOn(t, ctx, fmt.Sprintf(`[data-play="%d"]`, x.ID))
	browser.Until(t, ctx, state+` === 'playing'`)
	note := func() string {
		return browser.Eval[string](t, ctx, `document.querySelector('#dock .note').textContent`)
	}
	if said := note(); !strings.Contains(said, "16 bars, repeated") || !strings.Contains(said, "In time") {
		t.Errorf("beside drums of the same tempo it says %q", said)
	}
	// 16 bars at 120 BPM are 32 of the 64 s: half of the line.
	if w := browser.Eval[float64](t, ctx, `Number(document.querySelector('#dock .loop').getAttribute('width'))`); math.Abs(w-500) > 1 {
		t.Errorf("the part is %v of 1000 of the track, want 500", w)
	}
	clickOn(t, ctx, "#dock .next")
	browser.Until(t, ctx, `document.querySelector('#dock .note').textContent.includes('Not in time')`)
	// 32 s at 126 against 120 BPM: 32 x 0.05 = 1.6 s.
	if said := note(); !strings.Contains(said, "120.0 BPM and 126.0 BPM drift 1.60 s apart over 16 bars") {
		t.Errorf("beside faster drums it says %q", said)
	}
	browser.Sign(t, ctx, "x")
	browser.Until(t, ctx, sidePressed(1)+` && `+state+` === 'playing'`)
}
