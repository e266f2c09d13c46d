package publish

import (
	"strings"

	"plateau/core/say"
)

// ErrPicture says that a picture is not taken.
var ErrPicture = say.LaterError("the picture cannot go into a report")

// checkSVG refuses a picture that holds a program, foreign content or an address
// outside itself. It is strict about how tags are written.
func checkSVG(s string) error {
	refuse := func(at int, why string) error {
		return say.Error("%w: at byte %d %s: draw it without that", ErrPicture, at, say.Text(why))
	}
	at := len(s) - len(strings.TrimLeft(s, blanks))
	if strings.HasPrefix(s[at:], "<?xml ") {
		at += strings.IndexByte(s[at:], '>') + 1
		at += len(s[at:]) - len(strings.TrimLeft(s[at:], blanks))
	}
	if !strings.HasPrefix(s[at:], "<svg") || !strings.HasSuffix(strings.TrimRight(s, blanks), "</svg>") {
		return say.Error("%w: it is not one svg element", ErrPicture)
	}
	if head, _, _ := strings.Cut(s[at:], ">"); !strings.Contains(head, `xmlns="http://www.w3.org/2000/svg"`) {
		return say.Error("%w: its first tag has no xmlns of SVG, without which no browser draws it", ErrPicture)
	}
	rules := false // in a <style>
	for at < len(s) {
		if s[at] != '<' {
			end := at + strings.IndexByte(s[at:]+"<", '<')
			if k := outside(s[at:end]); rules && k >= 0 {
				return refuse(at+k, say.Later("a style names an address outside the picture"))
			}
			at = end
			continue
		}
		for _, x := range [...][2]string{{"<!--", "-->"}, {"<![CDATA[", "]]>"}} {
			if strings.HasPrefix(s[at:], x[0]) {
				n := strings.Index(s[at:], x[1])
				if n < 0 {
					return refuse(at, say.Later("there is something that does not end"))
				}
				if k := outside(s[at : at+n]); rules && k >= 0 {
					return refuse(at+k, say.Later("a style names an address outside the picture"))
				}
				at += n + len(x[1])
			}
		}
		if at == len(s) || s[at] != '<' {
			continue
		}
		end := tagEnd(s[at:])
		if end < 0 {
			return refuse(at, say.Later("a tag does not end"))
		}
		tag := s[at+1 : at+end]
		if why := badTag(tag); why != "" {
			return refuse(at, why)
		}
		if name := tagName(tag); name == "style" || tag == "/style" {
			rules = tag[0] != '/'
		}
		at += end + 1
	}
	return nil
}

// tagName is the name of a tag in small letters, without / and prefix.
func tagName(s string) string {
	s = strings.ToLower(strings.TrimLeft(s, blanks))
	if n := strings.IndexAny(s, blanks); n >= 0 {
		s = s[:n]
	}
	return s[strings.LastIndexByte(s, ':')+1:]
}

// tagEnd is where the > of a tag is, beyond any quotes; -1 for none.
func tagEnd(s string) int {
	quote := byte(0)
	for k := range len(s) {
		switch c := s[k]; {
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case c == '"' || c == '\'':
			quote = c
		case c == '>':
			return k
		case c == '<' && k > 0:
			return -1
		}
	}
	return -1
}

const blanks = " \t\r\n\f/"

// badTag says what is wrong with a tag, given without its brackets; empty where
// nothing is.
func badTag(s string) string {
	if s == "" || s[0] == '!' || s[0] == '?' {
		return say.Later("there is a declaration")
	}
	s = strings.TrimLeft(s, blanks)
	n := strings.IndexAny(s, blanks)
	if n < 0 {
		n = len(s)
	}
	switch name := tagName(s); name {
	case "script", "foreignobject", "iframe", "object", "embed", "audio", "video", "canvas", "a", "handler", "listener", "set", "animate", "animatemotion",
		"animatetransform":
		return say.With("there is a <%s>", name)
	}
	for s = strings.TrimLeft(s[n:], blanks); s != ""; s = strings.TrimLeft(s, blanks) {
		eq := strings.IndexByte(s, '=')
		if eq < 0 {
			return say.Later("an attribute has no value")
		}
		key := strings.ToLower(strings.TrimSpace(s[:eq]))
		if key == "" || strings.ContainsAny(key, blanks+"\"'") {
			return say.Later("an attribute has no value")
		}
		s = strings.TrimLeft(s[eq+1:], blanks)
		if s == "" || s[0] != '"' && s[0] != '\'' {
			return say.With("the value of %s is not in quotes", key)
		}
		end := strings.IndexByte(s[1:], s[0])
		if end < 0 {
			return say.With("the value of %s does not end", key)
		}
		value := s[1 : 1+end]
		s = s[end+2:]
		key = key[strings.LastIndexByte(key, ':')+1:]
		switch {
		case strings.HasPrefix(key, "on"):
			return say.With("there is a handler, %s", key)
		case key == "href" || key == "src" || key == "base":
			if v := strings.TrimSpace(value); !strings.HasPrefix(v, "#") && !strings.HasPrefix(v, "data:image/png;base64,") {
				return say.With("%s is an address outside the picture", key)
			}
		case strings.HasPrefix(key, "aria-"):
		case outside(value) >= 0, strings.Contains(value, "(") && strings.Contains(value, "&#"):
			return say.With("%s holds an address outside the picture", key)
		}
	}
	return ""
}

// outside is where CSS in a text names something outside the picture; -1 for
// nowhere. url() may name what is inside, as in url(#clip). A backslash or an
// entity could hide one.
func outside(s string) int {
	low := strings.ToLower(s)
	if k := strings.Index(low, "@import"); k >= 0 {
		return k
	}
	for _, call := range [...]string{"url(", "image(", "image-set(", "src("} {
		for at := 0; ; {
			k := strings.Index(low[at:], call)
			if k < 0 {
				break
			}
			at += k + len(call)
			rest := strings.TrimLeft(low[at:], " \t\r\n")
			for _, q := range [...]string{"&quot;", "&apos;", "&#39;", "&#34;", `"`, "'"} {
				rest = strings.TrimPrefix(rest, q)
			}
			if !strings.HasPrefix(rest, "#") {
				return at
			}
		}
	}
	if strings.Contains(low, "\\") && strings.ContainsAny(low, "{(") {
		return strings.IndexByte(low, '\\')
	}
	return -1
}
