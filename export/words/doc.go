// Package words is how things are written for people: figures, times, counts,
// groups, verdicts, tracks and errors, and the orders in which tracks are listed.
// The sheets, the page and the command line share it, so that a thing reads the
// same wherever it stands. What is said of a track's faults and deviations comes
// with the judgement, from detect.
//
// Two styles differ in how figures are set and in how much is told: Plain for a
// terminal, Page for reading. The rules are one. Times are cut to whole seconds,
// as a player's display does it; a value that does not exist is never written as a
// number; text from tags and names reaches nobody uncleaned.
package words
