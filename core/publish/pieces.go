package publish

// MarkdownText is a text for the middle of a line of Markdown: on one line, and
// with all escaped that could be markup, also of a table, or an address.
func MarkdownText(s string) string { return escapeMarkdown(line(s)) }

// OneLine is a text on one line: runs of blanks and of control characters are one
// blank, and characters that turn the direction of writing are gone.
func OneLine(s string) string { return line(s) }

// CSVText is a text for a field of a table of values: one that a spreadsheet
// would take for a formula gets an apostrophe.
func CSVText(s string) string { return plain(line(s)) }
