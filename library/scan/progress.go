package scan

import (
	"sync"
	"time"
)

// tracker counts a scan's progress and estimates the time left: the seconds of
// audio still to decode, guessed from sizes and corrected by ending with what
// was decoded so far, over the mean speed since measuring began.
type tracker struct {
	mu       sync.Mutex
	p        Progress
	start    time.Time
	begun    time.Time           // of measuring
	kinds    map[string]*guesses // by ending
	inFlight map[int]float64     // seconds decoded, by worker
	tell     func(Progress)
	stop     chan struct{}
	stopped  sync.WaitGroup
}

type guesses struct{ left, done, actual float64 } // seconds

// progressEvery is how often Progress is told, and minEvidence how long
// measuring must have gone on before the time left is told.
const (
	progressEvery = 100 * time.Millisecond
	minEvidence   = 2 * time.Second
)

func newTracker(tell func(Progress)) *tracker {
	t := &tracker{start: time.Now(), kinds: map[string]*guesses{}, inFlight: map[int]float64{}, tell: tell, stop: make(chan struct{})}
	t.p.Phase, t.p.Left = Looking, -1
	if tell == nil {
		return t
	}
	t.stopped.Add(1)
	go func() {
		defer t.stopped.Done()
		tick := time.NewTicker(progressEvery)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
				tell(t.snapshot())
			case <-t.stop:
				tell(t.snapshot())
				return
			}
		}
	}()
	return t
}

func (t *tracker) close() {
	close(t.stop)
	t.stopped.Wait()
}

// update changes the counts.
func (t *tracker) update(change func(p *Progress)) {
	t.mu.Lock()
	defer t.mu.Unlock()
	change(&t.p)
}

// measuring begins the last phase with the files that are to be decoded.
func (t *tracker) measuring(files []*file) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.p.Phase, t.begun = Measuring, time.Now()
	t.add(files)
}

// more tells of files that are to be decoded after all.
func (t *tracker) more(files []*file) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.add(files)
}

func (t *tracker) add(files []*file) {
	for _, f := range files {
		t.kind(f).left += guessSeconds(f.Rel, f.Size)
	}
}

func (t *tracker) kind(f *file) *guesses {
	e := ending(f.Rel)
	if t.kinds[e] == nil {
		t.kinds[e] = &guesses{}
	}
	return t.kinds[e]
}

func (t *tracker) decoding(worker int, seconds float64) {
	t.mu.Lock()
	defer t.mu.Unlock()
	t.inFlight[worker] = seconds
}

// finished books a file; seconds is 0 when it did not have to be decoded.
func (t *tracker) finished(worker int, f *file, seconds float64, change func(p *Progress)) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.inFlight, worker)
	k, guess := t.kind(f), guessSeconds(f.Rel, f.Size)
	k.left -= guess
	if seconds > 0 {
		k.done += guess
		k.actual += seconds
		t.p.AudioSeconds += seconds
	}
	change(&t.p)
}

func (t *tracker) snapshot() Progress {
	t.mu.Lock()
	defer t.mu.Unlock()
	p := t.p
	p.Elapsed = time.Since(t.start)
	for _, s := range t.inFlight {
		p.AudioSeconds += s
	}
	p.Left = t.left(time.Since(t.begun))
	return p
}
