package main

import (
	"fmt"
	"io"
	"sync/atomic"
	"time"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"dubgauge/export/words"
	"dubgauge/library"
)

// progress shows how far a scan has come: a bar on a terminal, a plain line
// every few seconds elsewhere.
type progress interface {
	show(library.Progress)
	done()
}

func (a *app) newProgress() progress {
	if a.talk.is {
		return &bar{out: a.err, width: a.talk.width}
	}
	return &lines{out: a.err}
}

// lineEvery is how often a plain line is written.
const lineEvery = 5 * time.Second

type lines struct {
	out  io.Writer
	last time.Time
}

func (l *lines) show(p library.Progress) {
	if l.last.IsZero() {
		l.last = time.Now()
	}
	if time.Since(l.last) >= lineEvery && p.Phase != "" {
		l.last = time.Now()
		fmt.Fprintln(l.out, words.Progress(p))
	}
}

func (l *lines) done() {}

// bar appears once there is something to measure.
type bar struct {
	out   io.Writer
	width int
	box   *mpb.Progress
	bar   *mpb.Bar
	state atomic.Pointer[library.Progress] // read by the bar's own goroutine
}

func (b *bar) show(p library.Progress) {
	if p.Phase != library.Measuring || p.Total == 0 {
		return
	}
	b.state.Store(&p)
	if b.bar == nil {
		b.begin(p)
	}
	b.bar.SetTotal(int64(p.Total), false)
	b.bar.SetCurrent(int64(p.Done))
}

func (b *bar) begin(p library.Progress) {
	b.box = mpb.New(mpb.WithOutput(b.out), mpb.WithWidth(min(b.width, 80)), mpb.WithAutoRefresh())
	text := func(f func(library.Progress) string) decor.Decorator {
		return decor.Any(func(decor.Statistics) string { return f(*b.state.Load()) }, decor.WCSyncSpaceR)
	}
	b.bar = b.box.AddBar(int64(p.Total), mpb.BarRemoveOnComplete(),
		mpb.PrependDecorators(text(func(p library.Progress) string {
			return fmt.Sprintf("%d of %s", p.Done, words.Counted(p.Total, "track"))
		})),
		mpb.AppendDecorators(text(words.Speed), text(func(p library.Progress) string { return words.Left(p.Left) })))
}

func (b *bar) done() {
	if b.bar != nil {
		b.bar.Abort(true)
		b.box.Wait()
	}
}
