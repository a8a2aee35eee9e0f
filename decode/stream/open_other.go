//go:build !unix

package stream

// nonblock: no file of these systems blocks its opener.
const nonblock = 0
