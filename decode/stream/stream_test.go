package stream

import (
	"errors"
	"io"
	"math"
	"testing"
)

func TestErrorText(t *testing.T) {
	tests := []struct {
		err  *Error
		want string
	}{
		{Errorf(Damaged, "%d bytes", 3), "damaged: 3 bytes"},
		{Errorf(Truncated, "the end is missing").AtOffset(44).AtTime(1.5), "truncated: the end is missing, at 1.50 s, at byte 44"},
		{&Error{Kind: Unsupported, Detail: "a form", Offset: -1, At: -1, Err: io.ErrUnexpectedEOF}, "unsupported: a form: unexpected EOF"},
	}
	for _, test := range tests {
		if got := test.err.Error(); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
		if got := test.err.Kind.String() + ": " + test.err.Text(); got != test.want {
			t.Errorf("kind and text are %q, want %q", got, test.want)
		}
	}
	if !errors.Is(tests[2].err, io.ErrUnexpectedEOF) {
		t.Error("the cause is lost")
	}
}

func TestFaultList(t *testing.T) {
	var l FaultList
	if len(l.List()) != 0 {
		t.Error("the zero value is not empty")
	}
	for i := range 250 {
		l.Add(Errorf(Damaged, "fault").AtOffset(int64(i)))
	}
	got := l.List()
	if len(got) != 100 || got[98].Offset != 98 || got[99].Detail != "151 more faults" {
		t.Errorf("%d faults, the last is %v", len(got), got[len(got)-1])
	}
}

func TestCheckShape(t *testing.T) {
	tests := []struct {
		rate     float64
		channels int
		want     Kind // 0: it is read
	}{
		{44100, 2, 0}, {8000, 1, 0}, {768000, 8, 0}, {44100, 0, Damaged}, {44100, 9, Unsupported}, {0, 2, Damaged},
		{-1, 2, Damaged}, {math.NaN(), 2, Damaged}, {math.Inf(1), 2, Unsupported}, {1000, 2, Unsupported}, {1100, 1, Unsupported}, {7999, 2, Unsupported}, {4294967295, 2, Unsupported},
	}
	for _, test := range tests {
		var kind Kind
		if err := CheckShape(test.rate, test.channels); err != nil {
			kind = err.Kind
		}
		if kind != test.want {
			t.Errorf("%v Hz, %d channels: %v, want %v", test.rate, test.channels, kind, test.want)
		}
	}
}
