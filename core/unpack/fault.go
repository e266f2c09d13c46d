package unpack

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"plateau/core/say"
)

// Fault is why a packed file, or something in it, cannot be read.
type Fault struct {
	Err  error  // what is the matter; ends the sentence "book.xlsx: …"
	Hint string // what to do; a sentence, as [say.Later] has it
	// final says that the walk ends: a limit was reached.
	final bool
}

// Error is fault and hint.
func (f *Fault) Error() string { return strings.TrimSpace(f.Err.Error() + ". " + say.Text(f.Hint)) }

// Unwrap lets errors.Is reach a cause from outside.
func (f *Fault) Unwrap() error { return f.Err }

const (
	hintDamaged = say.Later("Copy or download it again; if that does not help, pack or save it anew.")
	hintSheet   = say.Later("Open it in a spreadsheet program and save it again, or save the sheet as CSV and drop that.")
	hintUnpack  = say.Later("Unpack it and drop the logs themselves.")
)

// The faults that are the same each time.
var (
	errUnknown  = &Fault{Err: say.LaterError("it is no packed file of a kind that is read here"), Hint: say.Later("Unpack it, or export the log as CSV, and drop that.")}
	errDamaged  = &Fault{Err: say.LaterError("it is damaged or was cut short"), Hint: hintDamaged}
	errLocked   = &Fault{Err: say.LaterError("it is locked by a password"), Hint: say.Later("Unpack it with the password, or save it without one, and drop the logs.")}
	errMethod   = &Fault{Err: say.LaterError("it is packed by a method that is not read here"), Hint: say.Later("Pack it as an ordinary zip, or drop the logs unpacked.")}
	errNoLog    = &Fault{Err: say.LaterError("there is no log in it"), Hint: say.Later("A log has rows of numbers with time, voltage and current. Look whether this is the right file.")}
	errOldBook  = &Fault{Err: say.LaterError("it is a workbook of the old kind (.xls), or one locked by a password"), Hint: say.Later("Open it in a spreadsheet program and save it as .xlsx or .ods without a password, or as CSV.")}
	errBinary   = &Fault{Err: say.LaterError("it is a workbook in a program's own format"), Hint: say.Later("Save it as .xlsx, .ods or CSV and drop that.")}
	errDocument = &Fault{Err: say.LaterError("it is a document or a presentation, not a workbook"), Hint: say.Later("Export the log as .xlsx, .ods or CSV and drop that.")}
	errTar      = &Fault{Err: say.LaterError("it holds a tar archive, which is not read here"), Hint: hintUnpack}
	errArchive  = &Fault{Err: say.LaterError("it is an archive of a kind that is not read here"), Hint: say.Later("Unpack it and drop the logs themselves, or pack them as .zip.")}
	errRatio    = &Fault{Err: say.LaterError("it unpacks to far more than its size, as no log does"), Hint: say.Later("If you know what it is, unpack it and drop the logs themselves."), final: true}
	errHeld     = &Fault{Err: say.LaterError("its directory or its texts take too much memory"), Hint: say.Later("Unpack it, or save the sheet as CSV, and drop that.")}
)

func errBig(most int64) *Fault {
	return &Fault{Err: say.Error("it unpacks to more than %d MiB", most>>20),
		Hint: say.Later("Unpack it, or save its sheets as CSV, and drop the logs themselves."), final: true}
}

func errCells(most int64) *Fault {
	return &Fault{Err: say.Error("its sheets have more than %d million cells, blank ones between others included", most/1_000_000),
		Hint: say.Later("Save the sheet with the log as CSV and drop that."), final: true}
}

func errMany(most int) *Fault {
	return &Fault{Err: say.Error("it holds more than %d files", most), Hint: say.Later("Unpack it and drop the logs themselves, a few at a time."), final: true}
}

// badSheet is the fault of a workbook whose inside breaks a rule.
func badSheet(err error) *Fault {
	return &Fault{Err: say.Error("its inside cannot be read: %w", err), Hint: hintSheet}
}

// asFault makes errors of the decompressors into words.
func asFault(err error) *Fault {
	var f *Fault
	if errors.As(err, &f) {
		return f
	}
	return &Fault{Err: fmt.Errorf("%w (%w)", errDamaged.Err, err), Hint: hintDamaged}
}

// clean makes a name from a file fit for a message: one line, no marks that
// turn the direction of writing, not too long.
func clean(name string) string {
	const keep = 120
	name = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == '\u2028' || r == '\u2029' {
			return -1
		}
		return r
	}, strings.ToValidUTF8(name, "\ufffd"))
	if r := []rune(name); len(r) > keep {
		name = string(r[:keep/2]) + "…" + string(r[len(r)-keep/2:])
	}
	if strings.TrimSpace(name) == "" {
		return say.Text("unnamed")
	}
	return name
}

func join(file, part string) string { return file + " › " + clean(part) }
