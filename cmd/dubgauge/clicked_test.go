package main

import (
	"slices"
	"strings"
	"testing"
)

// A double click opens the page; a terminal, a script, and arguments get what they asked for. What
// went wrong in a console that closes by itself is held until it was read.
func TestStartedByADoubleClick(t *testing.T) {
	desktop, console := started{screen: true}, started{screen: true, console: true}
	for _, c := range []struct {
		name   string
		how    started
		args   []string
		status int
		want   []string
		held   bool
	}{
		{"a desktop", desktop, nil, exitOK, clickedArgs, false},
		{"a desktop, something is wrong", desktop, nil, exitError, clickedArgs, false},
		{"a console of its own", console, nil, exitOK, clickedArgs, false},
		{"a console of its own, something is wrong", console, nil, exitError, clickedArgs, true},
		{"a terminal", started{terminal: true, screen: true}, nil, exitOK, nil, false},
		{"a service: no screen", started{}, nil, exitOK, nil, false},
		{"a desktop, with arguments", desktop, []string{"list"}, exitOK, []string{"list"}, false},
		{"a console of its own, with arguments", console, []string{"list"}, exitError, []string{"list"}, false},
	} {
		in, said := strings.NewReader("\nmore"), ""
		var ran []string
		got := runStarted(c.how, c.args, in, func(args []string) int { ran = args; return c.status }, func(s string) { said += s })
		if got != c.status || !slices.Equal(ran, c.want) {
			t.Errorf("%s: status %d, ran %q", c.name, got, ran)
		}
		if (said != "") != c.held || (in.Len() < 5) != c.held {
			t.Errorf("%s: it says %q, %d bytes are left to read", c.name, said, in.Len())
		}
	}
}

// What the system says here is taken for no double click while tests run without a screen.
func TestHowStarted(t *testing.T) {
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	if s := howStarted(); s.screen && s.console {
		t.Errorf("%+v", s)
	}
	t.Setenv("WAYLAND_DISPLAY", "wayland-0")
	if s := howStarted(); !s.screen {
		t.Errorf("with a screen: %+v", s)
	}
}
