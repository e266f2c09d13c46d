// Package card answers /card/<payload>, a small page that shows what a link
// holds, so that a forum or a chat can preview it, and /card/<payload>.png, its
// picture. The payload is the text of core/link. Nothing is stored or logged:
// what comes out depends on the request alone.
package card

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"strconv"
	"strings"

	"plateau/core/link"
)

const (
	// Prefix is where cards are.
	Prefix = "/card/"
	// Longest is how many bytes path and query have at most.
	Longest = 8000

	mostPage = 512 << 10 // bytes of a page
	lasts    = "public, max-age=86400"
)

// Policy is what a card's page may do: show its own picture and style.
var Policy = "default-src 'none'; img-src 'self'; style-src 'sha256-" + styleSum() +
	"'; form-action 'none'; frame-ancestors 'none'; base-uri 'none'"

func styleSum() string {
	sum := sha256.Sum256([]byte(style))
	return base64.StdEncoding.EncodeToString(sum[:])
}

// headers are carried by every answer; a picture is for others to show as well.
func headers(h http.Header) {
	h.Set("Content-Security-Policy", Policy)
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Strict-Transport-Security", "max-age=31536000; includeSubDomains")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("X-Permitted-Cross-Domain-Policies", "none")
	h.Set("X-Robots-Tag", "noindex")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), usb=(), serial=(), payment=(), clipboard-read=()")
	h.Set("Cache-Control", "no-store")
}

// Handler answers below [Prefix].
func Handler() http.Handler { return http.HandlerFunc(serve) }

func serve(w http.ResponseWriter, r *http.Request) {
	defer func() {
		if recover() != nil { // what a link holds must not end the server
			fault(w, r, http.StatusInternalServerError, "This preview could not be drawn.", "")
		}
	}()
	headers(w.Header())
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		w.Header().Set("Allow", "GET, HEAD")
		fault(w, r, http.StatusMethodNotAllowed, "Only GET and HEAD are answered here.", "")
		return
	}
	if len(r.URL.EscapedPath())+len(r.URL.RawQuery) > Longest {
		fault(w, r, http.StatusRequestURITooLong, "This address is longer than the "+strconv.Itoa(Longest)+" characters that a link with preview has at most. Ask for the plain link.", "")
		return
	}
	rest, below := strings.CutPrefix(r.URL.Path, Prefix)
	if !below || rest == "" || strings.Contains(rest, "/") || strings.HasPrefix(rest, ".") {
		fault(w, r, http.StatusNotFound, "There is no preview at this address. One begins with "+Prefix+" and the data of a link.", "")
		return
	}
	site, ok := origin(r)
	if !ok {
		fault(w, r, http.StatusBadRequest, "This request does not say in a plain way which site it is for.", "")
		return
	}
	rest = trimmed(rest)
	payload, drawn := strings.CutSuffix(rest, ".png")
	if !plain(payload) {
		fault(w, r, http.StatusBadRequest, "This link is damaged: it has characters that no link has. Copy the whole of it, or ask for it again.", "")
		return
	}
	post, err := link.Decode(payload)
	if err != nil {
		fault(w, r, http.StatusBadRequest, err.Error(), payload)
		return
	}
	var out bytes.Buffer
	if drawn {
		if err = picture(&out, &post); err == nil {
			w.Header().Set("Cross-Origin-Resource-Policy", "cross-origin")
			answer(w, r, "image/png", out.Bytes())
			return
		}
	} else if err = page(&out, &post, site, payload); err == nil {
		answer(w, r, "text/html; charset=utf-8", out.Bytes())
		return
	}
	fault(w, r, http.StatusBadRequest, "This link holds more than a preview shows.", payload)
}

// trimmed is an address without the stops and brackets that programs put behind
// it.
func trimmed(s string) string { return strings.TrimRight(s, ".,;:!?)]}>'\"* ") }

// plain tells a text that has nothing but the letters of a payload.
func plain(s string) bool {
	for k := range len(s) {
		c := s[k]
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_') {
			return false
		}
	}
	return s != ""
}

// origin is the site that a request is for: "https://example.org". What a client
// says it is goes into the page, and so is taken only where it is a plain name.
func origin(r *http.Request) (string, bool) {
	host, scheme := r.URL.Host, r.URL.Scheme
	if host == "" {
		host = r.Host
	}
	if scheme != "https" && r.TLS == nil {
		scheme = "http"
	} else {
		scheme = "https"
	}
	host = strings.ToLower(host)
	for k := range len(host) {
		c := host[k]
		if !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '.' || c == '-' || c == ':') {
			return "", false
		}
	}
	return scheme + "://" + host, host != "" && len(host) <= 260
}

// answer writes a body, or that it is the one that the client has.
func answer(w http.ResponseWriter, r *http.Request, kind string, body []byte) {
	sum := sha256.Sum256(body)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	w.Header().Set("ETag", tag)
	w.Header().Set("Cache-Control", lasts)
	if has(r.Header.Values("If-None-Match"), tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	write(w, r, http.StatusOK, kind, body)
}

// has tells whether a tag is among those listed, by weak comparison (RFC 9110
// section 13.1.2).
func has(lists []string, tag string) bool {
	for _, list := range lists {
		for _, one := range strings.Split(list, ",") {
			if one = strings.TrimSpace(one); one == "*" || strings.TrimPrefix(one, "W/") == tag {
				return true
			}
		}
	}
	return false
}

func write(w http.ResponseWriter, r *http.Request, status int, kind string, body []byte) {
	w.Header().Set("Content-Type", kind)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		w.Write(body)
	}
}

// fault answers with a page that says what is wrong, and offers the full page.
func fault(w http.ResponseWriter, r *http.Request, status int, why, payload string) {
	var b bytes.Buffer
	faultPage(&b, why, payload)
	write(w, r, status, "text/html; charset=utf-8", b.Bytes())
}
