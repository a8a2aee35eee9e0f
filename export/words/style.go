package words

import (
	"math"
	"strconv"
	"strings"

	"dubgauge/detect"
)

// Style is a way to set figures and sentences. Take one of Data, Plain and Page.
type Style struct {
	minus  string // the sign before negative numbers
	none   string // stands for what does not exist
	zero   string // the sign before zero where signs are written
	stop   string // ends a sentence
	detail bool   // figures as they were measured, confidence as a number
	text   func(string) string
}

var (
	// Data is for sheets that programs read: nothing but the number.
	Data = Style{minus: "-", text: Clean}
	// Plain is for a terminal: ASCII signs, a dash for what does not exist.
	Plain = Style{minus: "-", none: "-", zero: "+", detail: true, text: OneLine}
	// Page is for reading: typographic minus signs, whole sentences.
	Page = Style{minus: "\u2212", stop: ".", text: Clean}
)

// Number writes v with a fixed count of decimals and never a negative zero. Halves
// are rounded away from zero, as trims are, so that a mismatch reads as the negative
// of its trim.
func (s Style) Number(v detect.Value, decimals int) string {
	if !v.Exists() {
		return s.none
	}
	scale := math.Pow10(decimals)
	text := strconv.FormatFloat(math.Round(math.Abs(float64(v))*scale)/scale, 'f', decimals, 64)
	if v < 0 && strings.Trim(text, "0.") != "" {
		return s.minus + text
	}
	return text
}

// Signed is Number with a plus sign before what is above zero.
func (s Style) Signed(v detect.Value, decimals int) string {
	text := s.Number(v, decimals)
	switch {
	case !v.Exists():
		return text
	case strings.Trim(text, "0.") == "":
		return s.zero + text
	case v > 0:
		return "+" + text
	}
	return text
}

// Figure writes v with one decimal and its unit.
func (s Style) Figure(v detect.Value, unit string) string {
	return withUnit(v, s.Number(v, 1), unit)
}

// Change is Figure with a sign: a gain or a difference.
func (s Style) Change(v detect.Value, unit string) string {
	return withUnit(v, s.Signed(v, 1), unit)
}

func withUnit(v detect.Value, text, unit string) string {
	if !v.Exists() || unit == "" {
		return text
	}
	return text + " " + unit
}
