package unpack

import (
	"bytes"
	"errors"

	"plateau/core/say"
)

// sniffed is how many bytes of a file are looked at to tell what it is.
const sniffed = 512

// kind is what a file looks like by its first bytes.
type kind uint8

const (
	isText kind = iota // or anything that the reader of logs will judge
	isZip
	isGzip
	isCompound
	isTar
	isArchive
	isPicture
	isDocument
	isProgram
	isDatabase
)

// marks are first bytes, from the formats' own specifications (from memory).
var marks = []struct {
	kind kind
	at   int
	mark string
}{
	{isZip, 0, "PK\x03\x04"}, {isZip, 0, "PK\x05\x06"}, {isZip, 0, "PK\x07\x08PK\x03\x04"},
	{isGzip, 0, "\x1f\x8b\x08"},
	{isCompound, 0, "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"},
	{isTar, 257, "ustar"},
	{isArchive, 0, "Rar!\x1a\x07"}, {isArchive, 0, "7z\xbc\xaf\x27\x1c"}, {isArchive, 0, "\xfd7zXZ\x00"},
	{isArchive, 0, "BZh91AY&SY"}, {isArchive, 0, "\x28\xb5\x2f\xfd"},
	{isPicture, 0, "\x89PNG\r\n\x1a\n"}, {isPicture, 0, "\xff\xd8\xff"}, {isPicture, 0, "GIF87a"}, {isPicture, 0, "GIF89a"},
	{isPicture, 0, "II*\x00"}, {isPicture, 0, "MM\x00*"}, {isPicture, 0, "\x00\x00\x01\x00"}, {isPicture, 4, "ftyp"},
	{isDocument, 0, "%PDF-"}, {isDocument, 0, "{\\rtf"}, {isDocument, 0, "<!DOCTYPE html"}, {isDocument, 0, "<html"},
	{isProgram, 0, "\x7fELF"},
	{isDatabase, 0, "SQLite format 3\x00"},
}

func looksLike(head []byte) kind {
	for _, m := range marks {
		if len(head) > m.at && bytes.HasPrefix(head[m.at:], []byte(m.mark)) {
			return m.kind
		}
	}
	// Two letters could begin a text as well, which has no NUL bytes soon.
	nul := bytes.IndexByte(head[:min(len(head), 64)], 0) >= 0
	switch {
	case nul && bytes.HasPrefix(head, []byte("MZ")):
		return isProgram
	case nul && (bytes.HasPrefix(head, []byte("BM")) || bytes.HasPrefix(head, []byte("RIFF"))):
		return isPicture
	}
	return isText
}

// fault says why a file of that kind is no log; nil where it may be one.
func (k kind) fault() *Fault {
	switch k {
	case isCompound:
		return errOldBook
	case isTar:
		return errTar
	case isArchive:
		return errArchive
	}
	what := map[kind]string{isPicture: say.Later("it is a picture"), isDocument: say.Later("it is a document"),
		isProgram: say.Later("it is a program"), isDatabase: say.Later("it is a database")}[k]
	if what == "" {
		return nil
	}
	return &Fault{Err: errors.New(say.Text(what))}
}
