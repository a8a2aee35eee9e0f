package main

import (
	"strings"
	"testing"

	"github.com/jedib0t/go-pretty/v6/text"
)

// TestWrap: every line is as long as the width allows, the first and those behind it, counted
// in columns of the terminal.
func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  string
	}{
		{strings.Repeat("seven77 ", 9), 31, "seven77 seven77 seven77 seven77\n    seven77 seven77 seven77 seven77\n    seven77"},
		{strings.Repeat("seven77 ", 9), 30, "seven77 seven77 seven77\n    seven77 seven77 seven77\n    seven77 seven77 seven77"},
		{strings.Repeat("生命生 ", 6), 31, "生命生 生命生 生命生 生命生\n    生命生 生命生"}, // of six columns each
		{"a  b", 0, "a  b"},
		{"a  b", -4, "a  b"},
		{"a  b", 3, "a b"}, // never under 30
	} {
		if got := wrap(c.text, c.width, "    "); got != c.want {
			t.Errorf("%d: %q\nwant %q", c.width, got, c.want)
		}
	}
}

// TestSnip: what is cut says so, within the width.
func TestSnip(t *testing.T) {
	for _, c := range []struct {
		of    func(string, int) string
		text  string
		width int
		want  string
	}{
		{snip, "night bus", 9, "night bus"},
		{snip, "night bus", 8, "night b…"},
		{snip, "night bus", 0, "night bus"},
		{snip, "生命生命", 6, "生命…"},
		{snipPath, "Records/a b.wav", 15, "Records/a b.wav"},
		{snipPath, "Records/2019/a b.wav", 15, "…/a b.wav"},
		{snipPath, "Records/a very long name.wav", 12, "…/a very lo…"},
		{snipPath, "a very long name.wav", 12, "a very long…"},
		{snipList, "quiet; cut end", 14, "quiet; cut end"},
		{snipList, "polarity; mono loss", 14, "polarity; …"},
		{snipList, "polarity; mono loss", 11, "polarity; …"},
		{snipList, "polarity; mono loss", 10, "polarity;…"},
		{snipList, "a; b; mono loss", 7, "a; b; …"},
		{snipList, "low end heavy", 8, "low end…"},
	} {
		if got := c.of(c.text, c.width); got != c.want || (c.width > 0 && text.StringWidth(got) > c.width) {
			t.Errorf("%q in %d: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}
