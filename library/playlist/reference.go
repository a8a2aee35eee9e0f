package playlist

import "strings"

// resolve is a URI reference against the base that holds where it stands (xml:base; RFC
// 3986, 5.2, without taking dots out, which is done when the file is looked for).
func resolve(base, ref string) string {
	switch {
	case base == "", scheme(ref) != "", drive(ref):
		return ref
	case ref == "":
		return base
	}
	head, path := authority(base)
	switch {
	case strings.HasPrefix(ref, "//"):
		if k := scheme(base); k != "" {
			return k + ":" + ref
		}
		return ref
	case strings.HasPrefix(ref, "/"):
		return head + ref
	}
	return head + path[:strings.LastIndexByte(path, '/')+1] + ref
}

// authority cuts a URI where its path begins.
func authority(uri string) (head, path string) {
	n := 0
	if k := scheme(uri); k != "" {
		n = len(k) + 1
	}
	if strings.HasPrefix(uri[n:], "//") {
		end := strings.IndexByte(uri[n+2:], '/')
		if end < 0 {
			return uri, "/"
		}
		n += 2 + end
	}
	return uri[:n], uri[n:]
}

// fromReference is the path that a URI reference means. One that is none, as a path of
// Windows or a name with spaces and percent signs, is taken for a path.
func fromReference(s string) string {
	if scheme(s) != "" || drive(s) || strings.HasPrefix(s, `\\`) {
		return place(s)
	}
	if strings.Contains(s, `\`) && !strings.Contains(s, "/") {
		return strings.ReplaceAll(s, `\`, "/")
	}
	return unescape(s)
}
