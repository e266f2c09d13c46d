package workspace

// An upgrade makes of a part of one version, by the last name of its path, the
// same part of the next. It does not change b, and fails where that is none.
type upgrade func(base string, b []byte) ([]byte, error)

// upgrades are those to [Version], the first from version 1: there are Version-1.
// To change the form of a part, add one here, raise Version, describe both in the
// package comment, and keep a file of the version before as a test.
var upgrades []upgrade
