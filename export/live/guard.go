package live

import (
	"net"
	"net/http"
	"strings"
)

// contentPolicy allows what the page's own files need, and nothing else.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// maxBody in bytes is far more than a mark takes.
const maxBody = 16 << 10

// guard lets nobody in but the browser that shows the page from this machine:
// the Host must be a loopback name (DNS rebinding), and a request that another
// site makes is refused, whether it changes something or not.
func guard(next http.Handler) http.Handler {
	inner := http.NewCrossOriginProtection().Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		protect(w.Header())
		if !loopbackHost(r.Host) {
			http.Error(w, "this page is for this machine only: open it as http://127.0.0.1", http.StatusMisdirectedRequest)
			return
		}
		if foreign(r) {
			http.Error(w, "another site may not ask for this", http.StatusForbidden)
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit(r))
		inner.ServeHTTP(w, r)
	})
}

func protect(h http.Header) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
	h.Set("Cache-Control", "no-store")
}

// loopbackHost accepts 127.0.0.0/8, ::1 and localhost, with any port.
func loopbackHost(host string) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.Trim(name, "[]")
	ip := net.ParseIP(name)
	return strings.EqualFold(name, "localhost") || ip != nil && ip.IsLoopback()
}

// foreign tells whether another site is behind a request (Fetch Metadata; Origin
// for what does not send it). Following a link to the page is fine.
func foreign(r *http.Request) bool {
	switch r.Header.Get("Sec-Fetch-Site") {
	case "same-origin", "none":
		return false
	case "":
		origin := r.Header.Get("Origin")
		return origin != "" && origin != "http://"+r.Host
	}
	link := r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document"
	return !link
}
