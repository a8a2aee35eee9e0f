package faults

import "maps"

// The kinds of package continuity, which looks over time; WeakChannel is among them too.
const (
	Hole         Kind = "hole"
	HoleEnd      Kind = "hole_end"
	DeadPart     Kind = "dead_part"
	WeakPart     Kind = "weak_part"
	PolarityPart Kind = "polarity_part"
	Delay        Kind = "channel_delay"
	DelaySmall   Kind = "channel_delay_small"
	CutStart     Kind = "cut_start"
	CutEnd       Kind = "cut_end"
	CutFade      Kind = "cut_fade"
	CutTail      Kind = "cut_tail"
	Repeat       Kind = "repeat"
	Foreign      Kind = "foreign"
)

func init() { maps.Copy(places, timePlaces) }

var timePlaces = map[Kind]place{
	Hole: {"hole", HoldBack,
		"The sound stops dead for a moment, and a big system makes the edges crack.",
		"Copy or rip the file again from its source."},
	HoleEnd: {"hole", HoldBack,
		"The track breaks off in the middle of the music, and the floor stands in silence.",
		"Copy the file again from its source: this copy was not finished."},
	DeadPart: {"dead channel", HoldBack,
		"For that time one side of the room hears nothing.",
		"Find a whole copy; failing that, copy the good channel over the dead one there."},
	WeakPart: {"weak channel", CheckIt,
		"For that time the track leans to one side of the room.",
		"Listen at the given place; if it is no effect, render or rip the track again."},
	PolarityPart: {"polarity", HoldBack,
		"For that time the channels cancel on a mono system: the low end first, then most of the track.",
		"Render or rip the track again, or invert one channel there in an editor and listen in mono."},
	Delay: {"channel delay", CheckIt,
		"On a mono system and between the loudspeakers the sound turns hollow.",
		"Move the late channel forward in an editor, or find the track from another source."},
	DelaySmall: {"channel delay", Note,
		"In mono the very top loses a little; nothing is lost in the low end.",
		"Nothing needs doing."},
	CutStart: {"cut start", CheckIt,
		"The track cracks in when it is started, and its first beat is not where a beat belongs.",
		"Find the whole track, or set the cue point on the first whole bar."},
	CutEnd: {"cut end", CheckIt,
		"The track breaks off in the middle of the music.",
		"Find the whole track, or mix out before the end."},
	CutFade: {"cut end", CheckIt,
		"The fade breaks off while it is still heard on the floor.",
		"Find the whole track, or mix out before the end."},
	CutTail: {"cut end", Note,
		"The last of the fade is missing; it is heard only when nothing else plays.",
		"Mix out before the end, or fade the last seconds in an editor."},
	Repeat: {"skip", HoldBack,
		"The beat stumbles: a piece of the music is there twice, as on a disc that skips.",
		"Copy or rip the file again from its source."},
	Foreign: {"damaged", HoldBack,
		"A burst of noise at full level hits ears and tweeters.",
		"Do not play it; copy the file again from its source."},
}
