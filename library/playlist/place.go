package playlist

import (
	"net/url"
	"strings"
)

// place is the path that is meant by what stands in a list: a path of any system, or a
// file: URL (RFC 8089). An address of another kind stays as it is.
func place(s string) string {
	if scheme(s) == "file" {
		return fromURL(s)
	}
	if remote(s) {
		return s
	}
	return slashes(s)
}

// slashes writes a path of Windows with forward slashes: one with a drive or a server, and
// one in which nothing else parts the folders. Elsewhere a backslash may belong to a name.
func slashes(s string) string {
	if drive(s) || strings.HasPrefix(s, `\\`) || !strings.Contains(s, "/") {
		return strings.ReplaceAll(s, `\`, "/")
	}
	return s
}

// drive tells a path that begins with the letter of a drive.
func drive(s string) bool {
	return len(s) >= 2 && s[1] == ':' && letter(s[0]) && (len(s) == 2 || s[2] == '/' || s[2] == '\\')
}

func letter(c byte) bool { return 'a' <= c|0x20 && c|0x20 <= 'z' }

// scheme is that of a URL, in lower case; "" where s is none. A single letter is a drive.
func scheme(s string) string {
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case letter(c), i > 0 && ('0' <= c && c <= '9' || c == '+' || c == '-' || c == '.'):
		case c == ':' && i > 1:
			return strings.ToLower(s[:i])
		default:
			return ""
		}
	}
	return ""
}

// remote tells an address that is no file of this machine: with a scheme and an authority.
func remote(s string) bool {
	k := scheme(s)
	return k != "" && k != "file" && strings.HasPrefix(s[len(k)+1:], "//")
}

// absolute tells a path that needs no folder of the list.
func absolute(s string) bool { return strings.HasPrefix(s, "/") || drive(s) }

// fromURL is the path of a file: URL. A question mark or number sign that was not escaped
// is part of it: no file of music has a query.
func fromURL(s string) string {
	rest := s[len("file:"):]
	if strings.HasPrefix(rest, `\`) {
		rest = strings.ReplaceAll(rest, `\`, "/")
	}
	if after, ok := strings.CutPrefix(rest, "//"); ok {
		host, path, _ := strings.Cut(after, "/")
		switch {
		case host == "" || strings.EqualFold(host, "localhost"):
			rest = "/" + path
		case drive(host):
			rest = "/" + after // file://C:/x, as some write it
		} // else a server, whose two slashes stay
	}
	rest = unescape(rest)
	if len(rest) > 2 && rest[0] == '/' && letter(rest[1]) && (rest[2] == ':' || rest[2] == '|') && (len(rest) == 3 || rest[3] == '/' || rest[3] == '\\') {
		return strings.ReplaceAll(rest[1:2]+":"+rest[3:], `\`, "/")
	}
	return rest
}

// unescape takes back percent escapes; a percent sign that begins none stays one.
func unescape(s string) string {
	if u, err := url.PathUnescape(s); err == nil {
		return u
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		if s[i] == '%' && i+2 < len(s) {
			if u, err := url.PathUnescape(s[i : i+3]); err == nil {
				b.WriteString(u)
				i += 2
				continue
			}
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// escape writes a path as the path of a URL: all but unreserved characters (RFC 3986, 2.3)
// and those that part folders, byte for byte.
func escape(s string) string {
	const hex = "0123456789ABCDEF"
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		c := s[i]
		if letter(c) || '0' <= c && c <= '9' || strings.IndexByte("-._~/", c) >= 0 {
			b.WriteByte(c)
		} else {
			b.Write([]byte{'%', hex[c>>4], hex[c&15]})
		}
	}
	return b.String()
}

// toURL is a path as a file: URL, an absolute one by the standard (RFC 8089).
func toURL(p string) string {
	switch {
	case drive(p):
		return "file:///" + p[:2] + escape(p[2:])
	case onServer(p):
		return "file:" + escape(p)
	case strings.HasPrefix(p, "/"):
		return "file:///" + escape(strings.TrimLeft(p, "/"))
	}
	return "file:" + escape(p)
}
