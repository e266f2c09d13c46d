package main

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"path"
	"strings"

	"plateau/web/serve/site"
)

// handler serves the files of fsys, and nothing but whole files: no folder
// listings. Browsers may keep them but must ask each time (by ETag), so that a
// new build is seen at the next reload.
func handler(fsys fs.FS) http.Handler {
	return site.Guard(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			w.Header().Set("Allow", "GET, HEAD")
			http.Error(w, "only GET and HEAD are answered here", http.StatusMethodNotAllowed)
			return
		}
		name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
		if name == "" {
			name = "index.html"
		}
		if err := serveFile(w, r, fsys, name); err != nil {
			status := http.StatusInternalServerError
			if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
				status = http.StatusNotFound
			}
			http.Error(w, http.StatusText(status), status)
		}
	}))
}

// serveFile answers with one file. A returned error means that nothing has
// been written yet.
func serveFile(w http.ResponseWriter, r *http.Request, fsys fs.FS, name string) error {
	f, err := fsys.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	content, ok := f.(io.ReadSeeker)
	if info.IsDir() || !ok {
		return fs.ErrNotExist
	}
	sum := sha256.New()
	if _, err := io.Copy(sum, content); err != nil {
		return err
	}
	if _, err := content.Seek(0, io.SeekStart); err != nil {
		return err
	}
	w.Header().Set("ETag", fmt.Sprintf(`"%x"`, sum.Sum(nil)[:12]))
	w.Header().Set("Cache-Control", "no-cache")
	w.Header().Set("Content-Type", site.Type(name))
	http.ServeContent(w, r, name, info.ModTime(), content)
	return nil
}
