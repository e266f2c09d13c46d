package card

import (
	"bytes"
	"html"
	"net/http"
	"net/http/httptest"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"plateau/core/link"
	"plateau/core/publish"
)

// ask has a path answered as a server would, which takes it apart first.
func ask(t testing.TB, method, path string, change ...func(*http.Request)) *http.Response {
	t.Helper()
	u, err := url.ParseRequestURI(path)
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest(method, "http://plateau.example/", nil)
	r.URL = u
	for _, f := range change {
		f(r)
	}
	w := httptest.NewRecorder()
	Handler().ServeHTTP(w, r)
	return w.Result()
}

func body(t testing.TB, res *http.Response) string {
	t.Helper()
	var b bytes.Buffer
	if _, err := b.ReadFrom(res.Body); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var tag = regexp.MustCompile(`<meta property="([^"]+)" content="([^"]*)">`)

// The Open Graph protocol, https://ogp.me: og:title, og:type, og:image and og:url
// are required of every page ("Basic Metadata"); an image's type, width, height
// and alt are its structured properties.
func TestOpenGraph(t *testing.T) {
	for name := range samples {
		payload := sample(t, name)
		res := ask(t, "GET", Prefix+payload)
		text := body(t, res)
		if res.StatusCode != 200 || res.Header.Get("Content-Type") != "text/html; charset=utf-8" {
			t.Fatalf("%s: %d %s", name, res.StatusCode, res.Header.Get("Content-Type"))
		}
		got := map[string]string{}
		for _, m := range tag.FindAllStringSubmatch(text, -1) {
			if got[m[1]] != "" {
				t.Errorf("%s: %s stands twice", name, m[1])
			}
			got[m[1]] = html.UnescapeString(m[2])
		}
		post, err := link.Decode(payload)
		if err != nil {
			t.Fatal(err)
		}
		address := "http://plateau.example" + Prefix + payload
		for property, want := range map[string]string{
			"og:title": publish.Shortened(publish.Title(&post), mostTitle), "og:type": "article", "og:url": address, "og:image": address + ".png",
			"og:image:type": "image/png", "og:image:width": "1200", "og:image:height": "630",
		} {
			if got[property] != want {
				t.Errorf("%s: %s is %q, want %q", name, property, got[property], want)
			}
		}
		if len(got["og:image:alt"]) < 20 || len(got["og:description"]) < 20 {
			t.Errorf("%s: described as %q and %q", name, got["og:description"], got["og:image:alt"])
		}
		if !strings.Contains(text, `<a class="button" href="/#`+payload+`">`) {
			t.Errorf("%s: no way to the full page", name)
		}
		for _, m := range regexp.MustCompile(`(?:src|href)="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			if !strings.HasPrefix(m[1], "/") || strings.HasPrefix(m[1], "//") {
				t.Errorf("%s: it names %q", name, m[1])
			}
		}
	}
}

// What a practitioner looks for stands on the page: campaign's figures come of a
// closed form, see there.
func TestFigures(t *testing.T) {
	text := html.UnescapeString(body(t, ask(t, "GET", Prefix+sample(t, "three"))))
	for _, want := range []string{
		"<h1>Elm, a discharge test</h1>", "Elm 1.00 A<small>1.00 A (0.2 It) to 2.50 V",
		"<b>5.000</b> <span>± 0.041</span>", "<b>19.22</b> <span>± 0.20</span>", "<b>3.845</b> <span>± 0.012</span>", "<b>26.0</b>", // 5 Ah at 3.845 V: 19.225 Wh
		"over the permitted current", "<strong class=\"pass\">pass, within uncertainty</strong>", "Rated 4.900 Ah at 0.98 A",
		"<li class=\"safety\"><strong>Elm 5.00 A:</strong> The current is over", "The rest before it was 12 min.", "Charge is added up by the trapezoidal rule.", "Caution:", "k = 2",
		"alt=\"Voltage over discharged charge of Elm 1.00 A, Elm 3.00 A, Elm 5.00 A.",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the page", want)
		}
	}
	if a, b := strings.Index(text, `class="safety"`), strings.Index(text, `class="caution"><strong>Elm`); a < 0 || b < a {
		t.Error("what is about safety does not come first")
	}
}

func TestTextsAreNoMarkup(t *testing.T) {
	text := body(t, ask(t, "GET", Prefix+sample(t, "names")))
	for _, bad := range []string{"<script", "<img src=x", "onerror=\""} {
		if strings.Contains(text, bad) {
			t.Errorf("%s came through", bad)
		}
	}
	if !strings.Contains(text, "&lt;img src=x onerror=alert(1)&gt;") || !strings.Contains(text, "電池") {
		t.Error("names are lost")
	}
}

func TestHeaders(t *testing.T) {
	payload := sample(t, "one")
	for _, c := range []struct {
		method, path  string
		status        int
		across, lasts string
	}{
		{"GET", Prefix + payload, 200, "same-origin", lasts},
		{"HEAD", Prefix + payload, 200, "same-origin", lasts},
		{"GET", Prefix + payload + ".png", 200, "cross-origin", lasts},
		{"HEAD", Prefix + payload + ".png", 200, "cross-origin", lasts},
		{"GET", Prefix + payload[:50], 400, "same-origin", "no-store"},
		{"GET", Prefix, 404, "same-origin", "no-store"},
		{"POST", Prefix + payload, 405, "same-origin", "no-store"},
	} {
		res := ask(t, c.method, c.path)
		text := body(t, res)
		if res.StatusCode != c.status {
			t.Errorf("%s %.60s: %d", c.method, c.path, res.StatusCode)
		}
		if n, _ := strconv.Atoi(res.Header.Get("Content-Length")); n < 500 || c.method == "HEAD" && text != "" || c.method != "HEAD" && n != len(text) {
			t.Errorf("%s %.60s: %d bytes, said %d", c.method, c.path, len(text), n)
		}
		for name, want := range map[string]string{
			"Content-Security-Policy": Policy, "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "X-Robots-Tag": "noindex",
			"Cross-Origin-Resource-Policy": c.across, "Cache-Control": c.lasts,
		} {
			if got := res.Header.Get(name); got != want {
				t.Errorf("%s %.60s: %s is %q", c.method, c.path, name, got)
			}
		}
		if (res.Header.Get("Allow") != "") != (c.status == 405) {
			t.Errorf("%s %.60s: Allow %q", c.method, c.path, res.Header.Get("Allow"))
		}
	}
	for _, want := range []string{"default-src 'none'", "img-src 'self'", "form-action 'none'", "frame-ancestors 'none'", "base-uri 'none'"} {
		if !strings.Contains(Policy, want) {
			t.Errorf("the policy lacks %s", want)
		}
	}
}

// RFC 9110 section 13.1.2: weak comparison, a list, or *.
func TestNotModified(t *testing.T) {
	for _, path := range []string{Prefix + sample(t, "one"), Prefix + sample(t, "one") + ".png"} {
		have := ask(t, "GET", path).Header.Get("ETag")
		for _, c := range []struct {
			sent   []string
			status int
		}{
			{[]string{have}, 304}, {[]string{"W/" + have}, 304}, {[]string{`"x", ` + have}, 304}, {[]string{`"x"`, have}, 304}, {[]string{"*"}, 304},
			{[]string{`"x"`}, 200}, {[]string{strings.Trim(have, `"`)}, 200}, {nil, 200},
		} {
			res := ask(t, "GET", path, func(r *http.Request) { r.Header["If-None-Match"] = c.sent })
			if text := body(t, res); res.StatusCode != c.status || (text == "") != (c.status == 304) || res.Header.Get("ETag") != have {
				t.Errorf("%q: %d with %d bytes", c.sent, res.StatusCode, len(text))
			}
		}
	}
}

func TestHostilePaths(t *testing.T) {
	payload := sample(t, "one")
	for _, c := range []struct {
		path   string
		status int
	}{
		{Prefix, 404}, {Prefix + payload + "/", 404}, {Prefix + payload + "/x.png", 404}, {Prefix + "../x", 404}, {Prefix + "..", 404}, {Prefix + "%2e%2e/%2e%2e/etc/passwd", 404},
		{Prefix + "%2e%2e%2fx", 404}, {Prefix + ".png", 404}, {"/card", 404}, {"/cards/" + payload, 404},
		{Prefix + "%00", 400}, {Prefix + payload + "%00", 400}, {Prefix + payload[:40] + "%0d%0aSet-Cookie:%20a=b" + payload[40:], 400}, {Prefix + "%ff%fe", 400},
		{Prefix + "<script>alert(1)<%2fscript>", 404}, {Prefix + "x<script>", 400}, {Prefix + "2" + payload[1:], 400}, {Prefix + payload[:len(payload)-9], 400},
		{Prefix + payload[:60] + "AAAA" + payload[64:], 400}, {Prefix + payload + ".png.png", 400}, {Prefix + payload + ".PNG", 400}, {Prefix + payload + ".", 200}, {Prefix + payload + ").", 200}, {Prefix + payload + "?x=1", 200},
		{Prefix + payload + ".png,", 200}, {Prefix + "1" + strings.Repeat("A", 8000), 414}, {Prefix + payload + "?" + strings.Repeat("x", 8000), 414}, {Prefix + strings.Repeat("%41", 2700), 414},
		{Prefix + "1" + strings.Repeat("A", 7000), 400},
	} {
		res := ask(t, "GET", c.path)
		text := body(t, res)
		if res.StatusCode != c.status {
			t.Errorf("%.80q: %d, want %d", c.path, res.StatusCode, c.status)
		}
		if c.status != 200 && (!strings.Contains(text, "<h1>No preview</h1>") || strings.Contains(text, "<script") || !strings.Contains(text, `class="button" href="/`)) {
			t.Errorf("%.80q: answered by %q", c.path, text)
		}
		for name, values := range res.Header {
			if strings.ContainsAny(name+strings.Join(values, ""), "\r\n\x00") || name == "Set-Cookie" {
				t.Errorf("%.80q: header %q", c.path, name)
			}
		}
	}
}

// What a client says the site is goes into the page: a plain name or nothing.
func TestHost(t *testing.T) {
	path := Prefix + sample(t, "one")
	for host, want := range map[string]int{
		"plateau.example": 200, "127.0.0.1:8377": 200, "Plateau.Example": 200, "": 400, `x"><script>`: 400, "a/b": 400, "a\r\nb": 400, "user@host": 400, "a b": 400, "ä.example": 400,
		strings.Repeat("a", 300): 400, "a?b": 400, "a#b": 400,
	} {
		res := ask(t, "GET", path, func(r *http.Request) { r.Host = host })
		text := body(t, res)
		if res.StatusCode != want {
			t.Errorf("%q: %d, want %d", host, res.StatusCode, want)
		}
		if want == 200 && !strings.Contains(text, `content="http://`+strings.ToLower(host)+path+`"`) {
			t.Errorf("%q is not in og:url", host)
		}
		if want != 200 && host != "" && strings.Contains(text, host) {
			t.Errorf("%q came through", host)
		}
	}
	res := ask(t, "GET", path, func(r *http.Request) { r.URL.Scheme, r.URL.Host, r.Host = "https", "edge.example", "other.example" })
	if !strings.Contains(body(t, res), `property="og:url" content="https://edge.example`+path) {
		t.Error("the address that the request has does not win")
	}
}

// A link of some thousand characters that unpacks to very much is refused before
// it is drawn.
func TestTooMuch(t *testing.T) {
	p := publish.Post{}
	for range 1500 {
		p.Runs = append(p.Runs, publish.Run{Cell: "Elm", Name: "Elm", Log: -1, Checks: []publish.Check{{Severity: "note", Text: strings.Repeat("x", 2000)}}})
	}
	text, err := link.Encode(p, link.Options{})
	if err != nil || len(text) > 7900 {
		t.Fatal(len(text), err)
	}
	for _, path := range []string{Prefix + text, Prefix + text + ".png"} {
		if res := ask(t, "GET", path); res.StatusCode != 400 || !strings.Contains(body(t, res), "more than a preview shows") {
			t.Errorf("%d", res.StatusCode)
		}
	}
}

func FuzzHandler(f *testing.F) {
	for name := range samples {
		f.Add(sample(f, name), "", "plateau.example")
		f.Add(sample(f, name)+".png", `"x"`, "a\"b")
	}
	for _, s := range []string{"", "..", "%2e%2e", "1", "1AAAA", "1\x00", "\r\n", "2xyz", strings.Repeat("A", 9000)} {
		f.Add(s, "*", "")
	}
	f.Fuzz(func(t *testing.T, rest, match, host string) {
		r := httptest.NewRequest("GET", "/", nil)
		r.URL = &url.URL{Path: Prefix + rest}
		r.Host = host
		r.Header["If-None-Match"] = []string{match}
		w := httptest.NewRecorder()
		Handler().ServeHTTP(w, r)
		switch w.Code {
		case 200, 304, 400, 404, 414:
		default:
			t.Fatalf("%d", w.Code)
		}
		if w.Code == 304 != (w.Body.Len() == 0) || w.Body.Len() > 2*mostPage {
			t.Fatalf("%d with %d bytes", w.Code, w.Body.Len())
		}
		if w.Code == 200 && strings.HasPrefix(w.Header().Get("Content-Type"), "text/html") && strings.Count(w.Body.String(), "<script") != 0 {
			t.Fatal("a script came through")
		}
	})
}
