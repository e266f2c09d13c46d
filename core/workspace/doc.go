// Package workspace keeps a campaign: the saved file, .plateau, and the pieces
// that the autosave is made of. It holds what a person typed and decided (the
// document, which is the engine's to understand) and the logs with their traces.
//
// # The file
//
// A .plateau file is a ZIP archive (PKWARE APPNOTE.TXT 6.3.10), so that every
// unzip tool opens it. Parts are stored (method 0) or deflated (method 8, RFC
// 1951), with their sizes and CRC-32 in the local header, without data
// descriptors, encryption, extra fields or ZIP64; dates are 1980-01-01. Names are
// ASCII. The parts, in this order:
//
//	plateau.json         what the file is, and which logs are in it
//	document.json        what a person typed and decided
//	logs/KEY/log.json    of each log: what it is and how it was read
//	logs/KEY/head        the first bytes of the log's file, 64 KiB at most
//	logs/KEY/trace       its samples
//
// JSON is RFC 8259 in UTF-8 without a byte order mark. Folders are labels: KEY
// only says which parts belong together, and a reader needs no more of the path
// than the last two names, so that a file that was unpacked and packed again by
// other tools, folders around it and in another order, can be read.
//
// plateau.json is an object:
//
//	format    "Plateau workspace"
//	version   1
//	document  true where there is a document.json
//	logs      a list, in the order in which the logs are shown, of objects:
//	  key      the name of its folder
//	  name     the log's file name
//	  bytes    the size of that file
//	  sha256   its SHA-256 (FIPS 180-4) in lower-case hex, "" where it is not known
//	  head     how many bytes its head has
//	  samples  in the trace; -1 where there is none
//
// The archive's comment is "Plateau workspace, version 1", so that the version
// is known where plateau.json is damaged.
//
// document.json is an object of the engine's own, with its own version. log.json
// is an object with the name, bytes, sha256, head and samples of above, and
//
//	meta      how the log was read, an object of the engine's own
//
// head is as the file was, not decoded; it is left out where there is none. trace
// is the form that [plateau/core/trace.Trace.AppendColumns] describes, with the
// voltage as it was read; it is left out for a log that could not be read.
//
// KEY is 32 digits of hex: the first half of the SHA-256 of the SHA-256s, 32 bytes
// each, of the three parts of a log as they are before packing, in the order of
// above, that of no bytes for one that is not there. The same log thus has the same
// key, and an autosave writes it once.
//
// # Damage
//
// What a file says is told twice, in the local headers and in the directory at
// the end. [Open] takes a part where either leads to bytes that fit their check
// sum, goes on to the next header where none does, and lists what is lost. The
// document comes first, so that a file cut short still has it.
//
// # Versions
//
// A reader opens files of its own version and of all before: [upgrades] turns each
// part of one version into that of the next. Of a newer file it tells the version
// and the logs, and opens nothing.
//
// # The autosave
//
// Each log is written once under its key ([Packed.Bytes], an archive like the
// file, without a document). The document is written after each act into one of
// two slots in turn ([Seal], [Newest]).
package workspace
