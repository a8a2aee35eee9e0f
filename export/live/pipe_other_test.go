//go:build !unix

package live

import "errors"

func pipe(string) error { return errors.ErrUnsupported }
