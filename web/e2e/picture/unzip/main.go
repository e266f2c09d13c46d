// Command unzip reads a ZIP archive with Go's own archive/zip, which checks the
// checksums, and writes to standard output what it found: a JSON list of names,
// sizes in bytes and SHA-256 in hexadecimal digits.
package main

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
)

type member struct {
	Name    string `json:"name"`
	Size    int    `json:"size"`
	SHA256  string `json:"sha256"`
	NotUTF8 bool   `json:"notUTF8"`
}

func main() {
	list, err := read(os.Args[1])
	if err == nil {
		err = json.NewEncoder(os.Stdout).Encode(list)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func read(name string) ([]member, error) {
	archive, err := zip.OpenReader(name)
	if err != nil {
		return nil, err
	}
	defer archive.Close()
	list := []member{}
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
		bytes, err := io.ReadAll(r)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
		sum := sha256.Sum256(bytes)
		list = append(list, member{f.Name, len(bytes), hex.EncodeToString(sum[:]), f.NonUTF8})
	}
	return list, nil
}
