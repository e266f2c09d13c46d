package main

import (
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"sync"
	"time"

	"plateau/web/serve/site"
)

// notFound is the page of addresses that lead nowhere.
const notFound = "404.html"

// server serves the files of a built site, and nothing but whole files: no
// folder listings, and none of those that are for the server itself.
type server struct {
	files fs.FS
	rules site.Rules

	mu   sync.Mutex
	tags map[stamp]string // ETags of the files served so far
}

type stamp struct {
	name string
	size int64
	time time.Time
}

func newServer(files fs.FS) (*server, error) {
	f, err := files.Open("_headers")
	if err != nil {
		return nil, fmt.Errorf("%w; build the site first with 'make build'", err)
	}
	defer f.Close()
	rules, err := site.Read(f)
	if err != nil {
		return nil, fmt.Errorf("_headers: %w", err)
	}
	return &server{files: files, rules: rules, tags: map[stamp]string{}}, nil
}

func (s *server) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
	shown := "/" + name
	if name == "" {
		name = "index.html"
	}
	if r.Method != http.MethodGet && r.Method != http.MethodHead {
		s.rules.Set(w.Header(), shown)
		w.Header().Set("Allow", "GET, HEAD")
		http.Error(w, "only GET and HEAD are answered here", http.StatusMethodNotAllowed)
		return
	}
	if hidden(name) || s.serve(w, r, name, shown, http.StatusOK) != nil {
		// As at the edge, pages are there without the ending too.
		if page := name + ".html"; !hidden(page) && s.serve(w, r, page, shown, http.StatusOK) == nil {
			return
		}
		if s.serve(w, r, notFound, "/"+notFound, http.StatusNotFound) != nil {
			http.NotFound(w, r)
		}
	}
}

// hidden tells whether a file is for the server itself.
func hidden(name string) bool { return strings.HasPrefix(name, "_") || name == notFound }

// serve answers with one file, or with the one beside it that a browser asks to
// have compressed. A returned error means that nothing has been written yet.
func (s *server) serve(w http.ResponseWriter, r *http.Request, name, shown string, status int) error {
	f, err := s.files.Open(name)
	if err != nil {
		return err
	}
	defer func() { f.Close() }()
	info, content, err := whole(f)
	if err != nil {
		return err
	}
	coding := ""
	if packed, err := s.files.Open(name + ".br"); err == nil {
		w.Header().Add("Vary", "Accept-Encoding")
		i, c, err := whole(packed)
		if err != nil || !accepts(r, "br") {
			packed.Close()
		} else {
			f.Close()
			f, info, content, coding = packed, i, c, "br"
		}
	}
	tag, err := s.tag(name+coding, info, content)
	if err != nil {
		return err
	}
	s.rules.Set(w.Header(), shown)
	if coding != "" {
		w.Header().Set("Content-Encoding", coding)
	}
	if status != http.StatusOK {
		// Conditions and ranges are for what was asked for.
		w.WriteHeader(status)
		if r.Method != http.MethodHead {
			_, _ = io.Copy(w, content)
		}
		return nil
	}
	w.Header().Set("ETag", tag)
	http.ServeContent(w, r, name, info.ModTime(), content)
	return nil
}

func whole(f fs.File) (fs.FileInfo, io.ReadSeeker, error) {
	info, err := f.Stat()
	if err != nil {
		return nil, nil, err
	}
	content, ok := f.(io.ReadSeeker)
	if info.IsDir() || !ok {
		return nil, nil, fs.ErrNotExist
	}
	return info, content, nil
}

// tag is worked out anew where a file has changed, so that a new build is seen
// at the next reload.
func (s *server) tag(name string, info fs.FileInfo, content io.ReadSeeker) (string, error) {
	key := stamp{name, info.Size(), info.ModTime()}
	s.mu.Lock()
	tag, known := s.tags[key]
	s.mu.Unlock()
	if known {
		return tag, nil
	}
	sum := sha256.New()
	if _, err := io.Copy(sum, content); err != nil {
		return "", err
	}
	if _, err := content.Seek(0, io.SeekStart); err != nil {
		return "", err
	}
	tag = fmt.Sprintf(`"%x"`, sum.Sum(nil)[:12])
	s.mu.Lock()
	s.tags[key] = tag
	s.mu.Unlock()
	return tag, nil
}

// accepts tells whether a request takes a content coding, RFC 9110 section
// 12.5.3; one of quality 0 is refused.
func accepts(r *http.Request, coding string) bool {
	for _, item := range strings.Split(strings.Join(r.Header.Values("Accept-Encoding"), ","), ",") {
		name, quality, _ := strings.Cut(strings.TrimSpace(item), ";")
		if strings.EqualFold(strings.TrimSpace(name), coding) {
			q := strings.TrimSpace(quality)
			return q != "q=0" && !strings.HasPrefix(q, "q=0.0")
		}
	}
	return false
}
